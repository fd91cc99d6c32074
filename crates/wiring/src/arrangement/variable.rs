//! A lone variable autotransformer, or three on one shaft in star: fed at its ends or below its upper end, output at the slider.

use super::assemble::{
    USUAL, add, designation, join, start, strip, variable_winding, wound, written,
};
use super::{Arrangement, Choice, Options};
use gear::{Find, Gang, PartKind, Winding};
use quantity::Unit;

/// The one arrangement of this family.
pub(super) const VARIABLE: Arrangement = Arrangement {
    key: "variable-autotransformer",
    name: "variable autotransformer",
    seen_by: "One bare track of turns with a carbon brush on it and a knob or a shaft.",
    choices: &[
        Choice {
            key: "phases",
            name: "phases",
            values: &[
                ("1", "one phase"),
                ("3", "three phases, in star on one shaft"),
            ],
        },
        Choice {
            key: "input",
            name: "fed at",
            values: &[
                ("end", "the end of the winding: output up to the input"),
                ("tap", "a tap below the end: output goes above the input"),
            ],
        },
        Choice {
            key: "fused",
            name: "fuse",
            values: &[("none", "none"), ("slider", "one in the slider's lead")],
        },
    ],
    build,
};

fn build(options: &Options) -> Find {
    let phases: usize = if options.get(&VARIABLE, "phases") == "3" {
        3
    } else {
        1
    };
    let tapped = options.get(&VARIABLE, "input") == "tap";
    // A fuse's current says that there is one.
    let amperes = written(options, "fuse", Unit::Ampere);
    let fused = options.get(&VARIABLE, "fused") == "slider" || amperes.is_some();
    let mut find = start(VARIABLE.key, options, Some(phases as u8));
    let phase = |k: usize| (phases == 3).then_some(k as u8);
    for k in 1..=phases {
        let volts = written(options, "winding_volts", Unit::Volt);
        let mut wound = wound(vec![Winding {
            volts,
            ..variable_winding(tapped, None)
        }]);
        wound.power = written(options, "winding_power", Unit::VoltAmpere);
        add(
            &mut find,
            &format!("T{k}"),
            "autotransformer",
            phase(k),
            PartKind::VariableAutotransformer(wound),
        );
    }
    for k in (1..=phases).filter(|_| fused) {
        add(
            &mut find,
            &format!("F{k}"),
            "fuse",
            phase(k),
            PartKind::Fuse {
                current: amperes.clone(),
            },
        );
    }
    let (input, output): (&[&str], &[&str]) = match phases {
        1 => (&["1", "N", "PE"], &["1", "N"]),
        _ => (&["1", "2", "3", "N", "PE"], &["1", "2", "3", "N"]),
    };
    strip(&mut find, "X1", "input", input);
    strip(&mut find, "X2", "output", output);
    for k in 1..=phases {
        let fed = if tapped { "2" } else { "1" };
        join(
            &mut find,
            &[&format!("X1:{k}"), &format!("T{k}:{fed}")],
            USUAL,
        );
        if fused {
            join(&mut find, &[&format!("T{k}:4"), &format!("F{k}:1")], USUAL);
            join(&mut find, &[&format!("F{k}:2"), &format!("X2:{k}")], USUAL);
        } else {
            join(&mut find, &[&format!("T{k}:4"), &format!("X2:{k}")], USUAL);
        }
    }
    let mut common: Vec<String> = (1..=phases).map(|k| format!("T{k}:3")).collect();
    common.extend(["X1:N".to_owned(), "X2:N".to_owned()]);
    join(
        &mut find,
        &common.iter().map(String::as_str).collect::<Vec<_>>(),
        USUAL,
    );
    if phases == 3 {
        let parts = (1..=3).filter_map(|k| designation("T", k)).collect();
        find.gangs.push(Gang {
            name: "shaft".to_owned(),
            parts,
        });
    }
    find
}
