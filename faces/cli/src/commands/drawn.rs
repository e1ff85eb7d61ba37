//! Scenes to files: SVG, or PNG by the program `bisque-print`.

use crate::failure::Failure;
use crate::files;
use papers::{Figure, standalone};
use picture::Scene;
use std::path::Path;
use web::printer;

/// A picture that says what it shows where nothing stands beside it.
fn alone(name: &str, scene: &Scene) -> String {
    standalone(&Figure { name: name.to_owned(), scene: scene.clone(), sources: String::new() })
}

/// Writes one picture, as SVG or PNG by the ending of its name.
pub fn write(out: &Path, scene: &Scene) -> Result<(), Failure> {
    let text = alone("picture", scene);
    let ending = out.extension().and_then(|e| e.to_str()).unwrap_or_default().to_ascii_lowercase();
    let file = out.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let written = match ending.as_str() {
        "svg" => vec![(file, text.into_bytes())],
        "png" => printer::pngs(&[(file, text)])?,
        _ => {
            let name = out.display();
            return Err(Failure::Usage(format!("{name}: a picture ends in .svg or .png; give such a name")));
        }
    };
    let folder = out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    files::write_all(folder, &written)
}

/// Writes pictures into a folder as SVG, with `png` as PNG too; how many pictures there are.
pub fn write_all(folder: &Path, scenes: Vec<(String, Scene)>, png: bool) -> Result<usize, Failure> {
    let texts: Vec<(String, String)> = scenes.iter().map(|(name, scene)| (name.clone(), alone(name, scene))).collect();
    let named = |ending: &str| -> Vec<(String, String)> {
        texts.iter().map(|(name, text)| (format!("{name}.{ending}"), text.clone())).collect()
    };
    let mut written = if png { printer::pngs(&named("png"))? } else { Vec::new() };
    written.extend(named("svg").into_iter().map(|(name, text)| (name, text.into_bytes())));
    files::write_all(folder, &written)?;
    Ok(texts.len())
}
