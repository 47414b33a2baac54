//! Mistakes about when something happened and where the treatment stands.

use super::makers;

makers! { "time_and_state":
}
