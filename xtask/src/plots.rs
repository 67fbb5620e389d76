//! The plots of the model book: each model beside what it was checked against.

use serde_json::Value;

use crate::venv::example;

/// Where they are kept.
const FOLDER: &str = "docs/physics/plots";

/// Draws all plots again and writes them; the same program gives the same bytes.
pub fn draw() -> Result<(), String> {
    let files: Value = serde_json::from_str(&example("plots")?).map_err(|e| format!("plots: {e}"))?;
    let files = files.as_object().filter(|files| !files.is_empty()).ok_or("plots: no file")?;
    let folder = crate::run::root().join(FOLDER);
    std::fs::create_dir_all(&folder).map_err(|e| format!("{FOLDER}: {e}"))?;
    for (name, text) in files {
        let text = text.as_str().ok_or_else(|| format!("{name} is no text"))?;
        std::fs::write(folder.join(name), text).map_err(|e| format!("{FOLDER}/{name}: {e}"))?;
        println!("{FOLDER}/{name}");
    }
    Ok(())
}
