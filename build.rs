//! Lists the files of `rules/` so that the library can embed them; nothing else.

use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed=rules");
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    let mut code = String::new();
    for (name, folder, ending) in [("ITEMS", "rules/items", "yaml"), ("RULES", "rules/base", "rules")] {
        code.push_str(&format!("pub(crate) const {name}: &[(&str, &str)] = &[\n"));
        for file in files(&root.join(folder), ending)? {
            let shown = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
            code.push_str(&format!("    (\"{folder}/{shown}\", include_str!({:?})),\n", file));
        }
        code.push_str("];\n");
    }
    fs::write(out.join("embedded.rs"), code)
}

fn files(folder: &Path, ending: &str) -> io::Result<Vec<PathBuf>> {
    let mut all: Vec<PathBuf> = fs::read_dir(folder)?.filter_map(|e| e.ok().map(|e| e.path())).collect();
    all.retain(|p| p.extension().is_some_and(|e| e == ending));
    all.sort();
    Ok(all)
}
