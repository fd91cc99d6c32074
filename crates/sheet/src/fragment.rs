//! A piece of a find in the sheet's own form: one reading, one part, the plate; what a store keeps when one thing was changed.
//!
//! A fragment has the tables and keys of a sheet, and none of them has to be there. What its names name stands elsewhere, so only its shape is
//! checked here; who puts it into a find asks [`gear::Find::faults`] and has [`Fragment::problem`] tell where in the fragment a fault lies.
//! In a fragment a reading should say what was `measured`: whether its source is direct is not known here, alternating is taken.

use crate::paths::Paths;
use crate::problem::Found;
use crate::{Problem, build, keys, parse, problem, shape, write};
use gear::{
    Damage, Fault, Find, Gang, Instrument, Join, Kit, Lead, Note, Part, Plate, Reading, Setup,
};

/// What a fragment holds, and where in its text.
#[derive(Debug)]
pub struct Fragment {
    text: String,
    nouns: Find,
    has_head: bool,
    has_plate: bool,
    paths: Paths,
}

impl Fragment {
    /// Reads a fragment.
    /// # Errors
    /// Every problem of its shape with line and column, or that it holds nothing.
    pub fn read(text: &str) -> Result<Self, Vec<Problem>> {
        let (root, mut found, broken) = parse(text);
        if broken {
            return Err(problem::located(text, found));
        }
        match keys::version_problem(root.get_ref()) {
            Some(problem) => return Err(problem::located(text, vec![problem])),
            None => shape::check_fragment(text, &root, &mut found),
        }
        let has = |key: &str| root.get_ref().contains_key(key);
        if found.is_empty()
            && root
                .get_ref()
                .iter()
                .all(|(key, _)| key.get_ref() == "sheet")
        {
            found.push(Found {
                at: 0,
                path: String::new(),
                what: "nothing stands here".into(),
                remedy: "write at least one block, like `[[note]]` with `text = \"...\"`".into(),
            });
        }
        if !found.is_empty() {
            return Err(problem::located(text, found));
        }
        let (nouns, paths) = build::find(text, &root);
        Ok(Self {
            text: text.to_owned(),
            has_head: has("find"),
            has_plate: has("plate"),
            nouns,
            paths,
        })
    }

    /// Its nouns, as a find that holds nothing else.
    pub fn nouns(&self) -> &Find {
        &self.nouns
    }

    /// Whether `[find]` stands in it: name, number, origin and arrangement of [`Fragment::nouns`] count.
    pub fn has_head(&self) -> bool {
        self.has_head
    }

    /// Whether `[plate]` stands in it.
    pub fn has_plate(&self) -> bool {
        self.has_plate
    }

    /// A fault of the find it was put into, told at its place in the fragment. `path` is the fault's path by the indices of
    /// [`Fragment::nouns`]; an empty one is the fragment as a whole.
    pub fn problem(&self, path: &[String], fault: &Fault) -> Problem {
        let found = self.paths.locate(Fault {
            path: path.to_vec(),
            ..fault.clone()
        });
        let mut told = problem::located(&self.text, vec![found.clone()]);
        told.pop().unwrap_or(Problem {
            line: 1,
            column: 1,
            path: found.path,
            what: found.what,
            remedy: found.remedy,
        })
    }
}

/// The block of a find's own words: name, number, origin, arrangement; the rest of it is left out.
pub fn of_head(find: &Find) -> String {
    write::one(|pen| write::head(pen, find))
}

/// The block of a plate; a plate that says nothing is an empty heading, which takes the old one away.
pub fn of_plate(plate: &Plate) -> String {
    if *plate == Plate::default() {
        return "[plate]\n".to_owned();
    }
    write::one(|pen| write::plate(pen, plate))
}

/// The block of a part, its windings with it.
pub fn of_part(part: &Part) -> String {
    write::one(|pen| write::one_part(pen, part))
}

/// The block of a gang.
pub fn of_gang(gang: &Gang) -> String {
    write::one(|pen| write::gang(pen, gang))
}

/// The block of a lead.
pub fn of_lead(lead: &Lead) -> String {
    write::one(|pen| write::lead(pen, lead))
}

/// The block of a join.
pub fn of_join(join: &Join) -> String {
    write::one(|pen| write::join(pen, join))
}

/// The blocks of a kit, or of any part of one.
pub fn of_kit(kit: &Kit) -> String {
    write::one(|pen| write::kit(pen, kit))
}

/// The block of an instrument, its ranges with it.
pub fn of_instrument(instrument: &Instrument) -> String {
    write::one(|pen| write::instrument(pen, instrument))
}

/// The block of a setup, its feeds and loads with it.
pub fn of_setup(setup: &Setup) -> String {
    write::setup_block(setup)
}

/// The block of a reading.
pub fn of_reading(reading: &Reading) -> String {
    write::reading_block(reading)
}

/// The block of damage.
pub fn of_damage(damage: &Damage) -> String {
    write::one(|pen| write::damage(pen, damage))
}

/// The block of a note.
pub fn of_note(note: &Note) -> String {
    write::one(|pen| write::note(pen, note))
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: &str = include_str!("../tests/whole.toml");

    #[test]
    fn every_noun_of_a_find_written_alone_reads_back_the_same() {
        let find = crate::read(WHOLE).unwrap();
        let back = |text: String| {
            let read = Fragment::read(&text);
            read.unwrap_or_else(|p| panic!("{p:?} in {text}"))
        };
        assert_eq!(back(of_plate(&find.plate)).nouns().plate, find.plate);
        let head = back(of_head(&find));
        assert!(head.has_head() && !head.has_plate());
        assert_eq!(head.nouns().name, find.name);
        for part in &find.parts {
            assert_eq!(
                back(of_part(part)).nouns().parts,
                std::slice::from_ref(part)
            );
        }
        for lead in &find.leads {
            assert_eq!(
                back(of_lead(lead)).nouns().leads,
                std::slice::from_ref(lead)
            );
        }
        for join in &find.joins {
            assert_eq!(
                back(of_join(join)).nouns().joins,
                std::slice::from_ref(join)
            );
        }
        assert_eq!(back(of_kit(&find.kit)).nouns().kit, find.kit);
        for one in &find.instruments {
            assert_eq!(
                back(of_instrument(one)).nouns().instruments,
                std::slice::from_ref(one)
            );
        }
        for setup in &find.setups {
            assert_eq!(
                back(of_setup(setup)).nouns().setups,
                std::slice::from_ref(setup)
            );
        }
        for one in &find.readings {
            assert_eq!(
                back(of_reading(one)).nouns().readings,
                std::slice::from_ref(one)
            );
        }
        for one in &find.damage {
            assert_eq!(
                back(of_damage(one)).nouns().damage,
                std::slice::from_ref(one)
            );
        }
        for note in &find.notes {
            assert_eq!(
                back(of_note(note)).nouns().notes,
                std::slice::from_ref(note)
            );
        }
        for gang in &find.gangs {
            assert_eq!(
                back(of_gang(gang)).nouns().gangs,
                std::slice::from_ref(gang)
            );
        }
    }

    #[test]
    fn a_fault_is_told_where_it_stands_in_the_fragment() {
        let text = "[[note]]\ntext = \"x\"\n\n[[lead]]\ndesignation = \"W1\"\nfrom = \"T9:1\"\n";
        let fragment = Fragment::read(text).unwrap();
        let fault = Fault {
            path: vec![],
            what: "unknown part `T9`".into(),
            remedy: "known: T1".into(),
            missing_from: Some("part"),
        };
        let path = ["lead", "0", "from"].map(str::to_owned);
        let problem = fragment.problem(&path, &fault);
        assert_eq!((problem.line, problem.column), (6, 8));
    }

    #[test]
    fn nothing_and_unknown_keys_are_refused() {
        let first = |text: &str| Fragment::read(text).unwrap_err()[0].to_string();
        assert_eq!(
            first(""),
            "line 1, column 1: nothing stands here; write at least one block, like `[[note]]` with `text = \"...\"`"
        );
        assert!(first("[[redaing]]\nnumber = 1\n").contains("did you mean `reading`?"));
    }
}
