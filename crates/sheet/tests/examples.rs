//! Every sheet in `examples/` reads without a problem and round-trips.

#[test]
fn every_example_reads_and_reads_back_the_same() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let files = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    let sheets: Vec<_> = files
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    assert!(sheets.len() >= 5, "{sheets:?}");
    for path in sheets {
        let text = std::fs::read_to_string(&path).unwrap();
        let find = sheet::read(&text)
            .unwrap_or_else(|problems| panic!("{}: {problems:#?}", path.display()));
        assert_eq!(
            sheet::read(&sheet::write(&find)).as_ref(),
            Ok(&find),
            "{}",
            path.display()
        );
    }
}
