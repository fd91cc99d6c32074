//! The whole format in one text: reads, and reads back the same.

const WHOLE: &str = include_str!("whole.toml");

#[test]
fn the_whole_format_reads_and_round_trips() {
    let find = sheet::read(WHOLE).unwrap_or_else(|problems| panic!("{}", listed(&problems)));
    let text = sheet::write(&find);
    let again =
        sheet::read(&text).unwrap_or_else(|problems| panic!("{}\n{text}", listed(&problems)));
    assert_eq!(again, find);
    assert_eq!(sheet::write(&again), text, "writing is canonical");
}

fn listed(problems: &[sheet::Problem]) -> String {
    problems.iter().map(|p| format!("{p}\n")).collect()
}
