//! The crate's rooms: the search knows no rule, and no rule takes from another.

use std::fs;
use std::path::{Path, PathBuf};

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder of the crate") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|it| it == "rs") {
            found.push(path);
        }
    }
    found
}

#[test]
fn only_the_table_of_rules_names_a_rule() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let files = sources(&src);
    assert!(files.len() > 20, "the crate's own files were found");
    for file in files.iter().filter(|file| **file != src.join("lib.rs")) {
        let text = fs::read_to_string(file).expect("a readable file");
        assert!(!text.contains("rules::"), "{} names the rules", file.display());
    }
}

#[test]
fn findings_refer_to_each_other_by_kind_and_never_by_a_word() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rules");
    for file in sources(&src) {
        let text = fs::read_to_string(&file).expect("a readable file");
        for code in halfrow_judge::Code::ALL {
            assert!(!text.contains(&format!("\"{code}\"")), "{} has {code} in quotes", file.display());
        }
    }
}
