//! Words that a scenario file may hold: each is the name of a variant of an enum.
//!
//! [`words!`] gives an enum its words, once. The rows of the grammar take their choices from `NAMES`, so what the file
//! may say and what the program understands cannot differ; a variant without a word does not compile.

/// An enum whose variants are the words of a choice.
pub(crate) trait Word: Sized {
    /// The variant of that name.
    fn of(name: &str) -> Option<Self>;
}

/// Gives each variant of an enum its word in a scenario file, in the order in which the choices are told.
macro_rules! words {
    ($of:ident { $($variant:ident = $name:literal,)+ }) => {
        impl $of {
            /// Every variant, in the order of the choices.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            /// Their words in a scenario file.
            pub const NAMES: &'static [&'static str] = &[$($name),+];

            /// The word in a scenario file.
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => $name,)+
                }
            }
        }

        impl $crate::words::Word for $of {
            fn of(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|it| it.name() == name)
            }
        }
    };
}

pub(crate) use words;

/// A named place on the struck face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FacePlace {
    Centre,
    QuarterLeft,
    QuarterRight,
    CornerLeft,
    CornerRight,
    QuarterFront,
    QuarterRear,
    Miss,
}

words!(FacePlace {
    Centre = "centre",
    QuarterLeft = "quarter-left",
    QuarterRight = "quarter-right",
    CornerLeft = "corner-left",
    CornerRight = "corner-right",
    QuarterFront = "quarter-front",
    QuarterRear = "quarter-rear",
    Miss = "miss",
});

/// Where the round washers are, without what the model adds to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum WashersWord {
    #[default]
    Between,
    AboveKeeper,
    Missing,
}

words!(WashersWord {
    Between = "between",
    AboveKeeper = "above-keeper",
    Missing = "missing",
});

/// The keeper sheet as found, where no thickness tells more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum KeeperWord {
    #[default]
    AsDesigned,
    Missing,
}

words!(KeeperWord {
    AsDesigned = "as-designed",
    Missing = "missing",
});

#[cfg(test)]
mod tests {
    use super::Word;
    use crate::grammar::{Kind, Options, rows};
    use crate::model::{
        Anchorage, ArmHold, CriteriaSet, Plate, RangeUse, Rust, Section, StripUse, StruckFace,
        Threads,
    };

    /// Results write the same word as the file, but for the sections with a number.
    #[test]
    fn the_word_of_a_file_is_the_word_of_the_results() {
        fn same<T: serde::Serialize + Copy>(all: &[T], names: &[&str], of: &str) {
            for (it, name) in all.iter().zip(names) {
                assert_eq!(serde_json::to_value(it).unwrap(), *name, "{of}");
            }
        }
        same(Anchorage::ALL, Anchorage::NAMES, "anchorage");
        same(StruckFace::ALL, StruckFace::NAMES, "face");
        same(CriteriaSet::ALL, CriteriaSet::NAMES, "criteria");
        same(RangeUse::ALL, RangeUse::NAMES, "ranges");
        same(StripUse::ALL, StripUse::NAMES, "use");
        same(ArmHold::ALL, ArmHold::NAMES, "arms");
        same(Threads::ALL, Threads::NAMES, "threads");
        same(Plate::ALL, Plate::NAMES, "plate");
        same(Rust::ALL, Rust::NAMES, "rust");
        same(&Section::ALL[..2], Section::NAMES, "section");
        assert_eq!(Section::of("12-sided"), Some(Section::TwelveSided));
        assert_eq!(Section::of("Round"), None);
    }

    /// Each word of each choice gives a scenario of its own: none is read as another one.
    #[test]
    fn every_word_is_understood_by_itself() {
        let text = format!(
            "{}{}",
            include_str!("../../../scenarios/conditions/zinc_lump.toml"),
            "[[site.strip]]\nname = \"lane\"\nuse = \"lane\"\nright = \"-8 m\"\nleft = \"-5 m\"\n"
        );
        let mut seen = 0;
        for row in rows() {
            let (Kind::Choice(Options::Fixed(names)) | Kind::Choices(Options::Fixed(names))) =
                row.kind
            else {
                continue;
            };
            let path = row
                .path
                .replace("arm[]", "arm[1]")
                .replace("strip[]", "strip[1]");
            let mut read = Vec::new();
            for name in names {
                let value = match row.kind {
                    Kind::Choices(_) => format!("[\"{name}\"]"),
                    _ => format!("\"{name}\""),
                };
                let loaded = crate::read(&text, "words.toml", &[(path.clone(), value)])
                    .unwrap_or_else(|e| panic!("{path} = {name}: {e:?}"));
                assert!(!read.contains(&loaded.scenario), "{path} = {name}");
                read.push(loaded.scenario);
                seen += 1;
            }
        }
        assert!(seen > 40, "{seen}");
    }
}
