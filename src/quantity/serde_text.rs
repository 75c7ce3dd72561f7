//! The serde form of a quantity, which is its text.

/// Serde for types whose text form is complete: written by `Display`, read by `FromStr`.
macro_rules! serde_as_text {
    ($($type:ty),+) => {$(
        impl serde::Serialize for $type {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> serde::Deserialize<'de> for $type {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = <String as serde::Deserialize>::deserialize(deserializer)?;
                text.parse().map_err(<D::Error as serde::de::Error>::custom)
            }
        }
    )+};
}

pub(super) use serde_as_text;
