//! Teeth in JSON: the FDI number, as an integer; arches: their word.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::{Arch, Tooth};

impl Serialize for Tooth {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u8(self.fdi())
    }
}

impl<'de> Deserialize<'de> for Tooth {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        u8::deserialize(deserializer)?.try_into().map_err(D::Error::custom)
    }
}

impl Serialize for Arch {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}
