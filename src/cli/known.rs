//! A word of which the shell knows what it may be, for completions; whoever reads it says what is wrong with one
//! that is none of them.

use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::{Arg, Command, Error};
use std::ffi::OsStr;

/// Takes any text, and gives the shell these words.
#[derive(Clone, Copy, Debug)]
pub struct Known(pub fn() -> Vec<&'static str>);

impl TypedValueParser for Known {
    type Value = String;

    fn parse_ref(
        &self,
        command: &Command,
        arg: Option<&Arg>,
        value: &OsStr,
    ) -> Result<String, Error> {
        StringValueParser::new().parse_ref(command, arg, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new((self.0)().into_iter().map(PossibleValue::new)))
    }
}
