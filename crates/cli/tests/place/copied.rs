//! Folders that a test alters.

use std::fs;
use std::path::Path;

/// Copies a folder with all that is in it.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}

/// Changes a value of a study's table.
pub fn forge_table(folder: &Path) {
    let table = folder.join("runs.csv");
    let csv = fs::read_to_string(&table).unwrap();
    fs::write(&table, csv.replacen(",false,", ",true,", 1)).unwrap();
}
