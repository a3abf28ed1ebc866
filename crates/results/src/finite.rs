//! Finds the first number in a serialisable value that is not finite, with its path.
//!
//! JSON writes NaN and infinities as null, which a reader would take for "absent".

use std::fmt;

use serde::Serialize;
use serde::ser;

use crate::ResultsError;

/// Walks the value; the error names the path of the first number that is not finite.
pub fn check_finite<T: Serialize>(root: &str, value: &T) -> Result<(), ResultsError> {
    let mut walker = Walker {
        path: root.to_owned(),
    };
    value
        .serialize(&mut walker)
        .map_err(|e| ResultsError::NotFinite { place: e.0 })
}

struct Walker {
    path: String,
}

#[derive(Debug)]
struct Found(String);

impl fmt::Display for Found {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Found {}

impl ser::Error for Found {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Found(message.to_string())
    }
}

impl Walker {
    fn step<T: Serialize + ?Sized>(
        &mut self,
        key: fmt::Arguments<'_>,
        value: &T,
    ) -> Result<(), Found> {
        let length = self.path.len();
        fmt::Write::write_fmt(&mut self.path, key).map_err(|_| Found(self.path.clone()))?;
        value.serialize(&mut *self)?;
        self.path.truncate(length);
        Ok(())
    }
}

/// An array or a map: counts its entries.
struct Entries<'a> {
    walker: &'a mut Walker,
    index: usize,
}

impl Entries<'_> {
    fn next<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Found> {
        self.index += 1;
        self.walker
            .step(format_args!("[{}]", self.index - 1), value)
    }
}

macro_rules! harmless {
    ($($name:ident: $kind:ty),*) => {
        $(fn $name(self, _: $kind) -> Result<(), Found> { Ok(()) })*
    };
}

impl<'a> ser::Serializer for &'a mut Walker {
    type Ok = ();
    type Error = Found;
    type SerializeSeq = Entries<'a>;
    type SerializeTuple = Entries<'a>;
    type SerializeTupleStruct = Entries<'a>;
    type SerializeTupleVariant = Entries<'a>;
    type SerializeMap = Entries<'a>;
    type SerializeStruct = Entries<'a>;
    type SerializeStructVariant = Entries<'a>;

    harmless!(
        serialize_bool: bool, serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_i64: i64,
        serialize_u8: u8, serialize_u16: u16, serialize_u32: u32, serialize_u64: u64, serialize_char: char,
        serialize_str: &str, serialize_bytes: &[u8], serialize_unit_struct: &'static str
    );

    fn serialize_f32(self, v: f32) -> Result<(), Found> {
        self.serialize_f64(f64::from(v))
    }

    fn serialize_f64(self, v: f64) -> Result<(), Found> {
        if v.is_finite() {
            Ok(())
        } else {
            Err(Found(format!("{} = {v}", self.path)))
        }
    }

    fn serialize_none(self) -> Result<(), Found> {
        Ok(())
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), Found> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Found> {
        Ok(())
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, _: &'static str) -> Result<(), Found> {
        Ok(())
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        value: &T,
    ) -> Result<(), Found> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<(), Found> {
        self.step(format_args!(".{variant}"), value)
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Entries<'a>, Found> {
        Ok(Entries {
            walker: self,
            index: 0,
        })
    }

    fn serialize_tuple(self, _: usize) -> Result<Entries<'a>, Found> {
        self.serialize_seq(None)
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Entries<'a>, Found> {
        self.serialize_seq(None)
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Entries<'a>, Found> {
        self.serialize_seq(None)
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Entries<'a>, Found> {
        self.serialize_seq(None)
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Entries<'a>, Found> {
        self.serialize_seq(None)
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Entries<'a>, Found> {
        self.serialize_seq(None)
    }
}

macro_rules! entries {
    ($($kind:ident: $method:ident),*) => {
        $(impl ser::$kind for Entries<'_> {
            type Ok = ();
            type Error = Found;
            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Found> {
                self.next(value)
            }
            fn end(self) -> Result<(), Found> {
                Ok(())
            }
        })*
    };
}

entries!(
    SerializeSeq: serialize_element, SerializeTuple: serialize_element,
    SerializeTupleStruct: serialize_field, SerializeTupleVariant: serialize_field
);

impl ser::SerializeMap for Entries<'_> {
    type Ok = ();
    type Error = Found;
    fn serialize_key<T: Serialize + ?Sized>(&mut self, _: &T) -> Result<(), Found> {
        Ok(())
    }
    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Found> {
        self.next(value)
    }
    fn end(self) -> Result<(), Found> {
        Ok(())
    }
}

macro_rules! fields {
    ($($kind:ident),*) => {
        $(impl ser::$kind for Entries<'_> {
            type Ok = ();
            type Error = Found;
            fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), Found> {
                self.walker.step(format_args!(".{key}"), value)
            }
            fn end(self) -> Result<(), Found> {
                Ok(())
            }
        })*
    };
}

fields!(SerializeStruct, SerializeStructVariant);

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Serialize)]
    struct Inner {
        values: Vec<f64>,
        maybe: Option<f64>,
    }

    #[derive(Serialize)]
    struct Outer {
        name: String,
        inner: Vec<Inner>,
    }

    fn outer(value: f64, maybe: Option<f64>) -> Outer {
        let inner = Inner {
            values: vec![0.0, value],
            maybe,
        };
        Outer {
            name: "x".into(),
            inner: vec![inner],
        }
    }

    #[test]
    fn the_path_of_the_first_bad_number_is_named() {
        assert!(check_finite("s", &outer(1.0, None)).is_ok());
        let text = |o: &Outer| check_finite("s", o).unwrap_err().to_string();
        assert!(text(&outer(f64::NAN, None)).starts_with("s.inner[0].values[1] = NaN"));
        assert!(text(&outer(1.0, Some(f64::INFINITY))).starts_with("s.inner[0].maybe = inf"));
    }
}
