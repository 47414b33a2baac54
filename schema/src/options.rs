//! The macro that declares options.

/// Declares a struct of options: each with its default, and a method that sets it.
#[doc(hidden)]
#[macro_export]
macro_rules! options {
    ($(#[$meta:meta])* $name:ident { $($(#[doc = $doc:literal])* $field:ident: $ty:ty = $default:expr,)* }) => {
        $(#[$meta])*
        #[derive(Clone, Debug)]
        #[non_exhaustive]
        pub struct $name {
            $($(#[doc = $doc])* pub $field: $ty,)*
        }

        impl Default for $name {
            fn default() -> Self {
                Self { $($field: $default,)* }
            }
        }

        impl $name {
            $($(#[doc = $doc])*
            #[must_use]
            pub fn $field(mut self, $field: $ty) -> Self {
                self.$field = $field;
                self
            })*
        }
    };
}
