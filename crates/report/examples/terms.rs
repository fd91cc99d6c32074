//! Prints `docs/terms.md`.

fn main() {
    print!("{}", report::glossary_markdown());
}
