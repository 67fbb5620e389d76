//! The workshop's own sheets, each version kept for good.

use serde::{Deserialize, Serialize};

use crate::error::AppError;
use crate::workshop::{Workshop, entry, new_id};

/// The kind of document a version is kept as.
const KIND: &str = "sheet";
/// Longest name of a sheet.
const LONGEST_NAME: usize = 64;

/// One version of a sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SheetVersion {
    /// Name of the sheet, its unit's id.
    pub name: String,
    /// 1 for the first.
    pub number: u32,
    pub at_ms: i64,
    pub by: String,
    /// What was changed, in a person's words; may be empty.
    pub why: String,
    pub text: String,
}

/// A text to be kept as the next version.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct KeepSheet {
    pub text: String,
    pub by: String,
    pub why: String,
    /// The version it was made from; 0 for a new sheet, `None` when the sender does not mind.
    pub based_on: Option<u32>,
}

impl Workshop {
    /// Every version of every own sheet, by name and number.
    ///
    /// # Errors
    /// [`AppError::Store`]; [`AppError::Unreadable`] for a version that does not read as it was written.
    pub async fn sheet_versions(&self) -> Result<Vec<SheetVersion>, AppError> {
        let mut versions = Vec::new();
        for (id, body) in self.store.documents(KIND).await? {
            let version: SheetVersion = serde_json::from_str(&body)
                .map_err(|why| AppError::Unreadable { job: format!("sheet {id}"), why: why.to_string() })?;
            versions.push(version);
        }
        versions.sort_by(|a, b| (&a.name, a.number).cmp(&(&b.name, b.number)));
        Ok(versions)
    }

    /// The versions of one sheet, oldest first; a shipped sheet that was never changed here has none.
    ///
    /// # Errors
    /// As [`Workshop::sheet_versions`].
    pub async fn sheet_history(&self, name: &str) -> Result<Vec<SheetVersion>, AppError> {
        Ok(self.sheet_versions().await?.into_iter().filter(|version| version.name == name).collect())
    }

    /// The text of a sheet: the latest own version, else the shipped one. Errors in it do not matter.
    ///
    /// # Errors
    /// [`AppError::NoSuchSheet`], or as [`Workshop::sheet_versions`].
    pub async fn sheet_text(&self, name: &str) -> Result<(String, u32), AppError> {
        if let Some(latest) = self.sheet_history(name).await?.pop() {
            return Ok((latest.text, latest.number));
        }
        let shipped = sheet::shipped().iter().find(|(file, _)| file.trim_end_matches(".toml") == name);
        shipped.map(|(_, text)| ((*text).to_owned(), 0)).ok_or_else(|| AppError::NoSuchSheet(name.to_owned()))
    }

    /// Keeps a text as the next version of the sheet it names itself. The same text again is the same version. A text
    /// with errors is kept too, but cannot be planned from.
    ///
    /// # Errors
    /// [`AppError::Input`] for a text without a usable id, or one made from a version that is no longer the latest.
    pub async fn keep_sheet(&self, keep: KeepSheet) -> Result<SheetVersion, AppError> {
        let name = sheet_name(&keep.text)?;
        let latest = self.sheet_history(&name).await?.pop();
        let number = latest.as_ref().map_or(0, |version| version.number);
        if let Some(latest) = latest.filter(|latest| latest.text == keep.text) {
            return Ok(latest);
        }
        if keep.based_on.is_some_and(|based_on| based_on != number) {
            let what = format!("{name}: version {number} was kept meanwhile, and this text was made from another");
            let hint = "Compare with the latest version, take over what is new, and keep again.".to_owned();
            return Err(AppError::Input { what, hint });
        }
        let KeepSheet { text, by, why, .. } = keep;
        let version = SheetVersion { name, number: number + 1, at_ms: self.clock.now_ms(), by, why, text };
        let body = serde_json::to_string(&version).map_err(|why| AppError::Input {
            what: format!("the sheet cannot be written: {why}"),
            hint: "Check the text.".to_owned(),
        })?;
        // A name of its own for each version: two programs that keep at once lose nothing.
        let id = format!("{}/{:06}/{}", version.name, version.number, new_id());
        self.store.put_document(KIND, &id, &body).await?;
        self.read_own_sheets().await?;
        Ok(version)
    }

    /// Reads the own sheets anew; another program may have kept some.
    ///
    /// # Errors
    /// As [`Workshop::sheet_versions`].
    pub async fn read_own_sheets(&self) -> Result<(), AppError> {
        let mut latest: Vec<SheetVersion> = Vec::new();
        for version in self.sheet_versions().await? {
            latest.retain(|other| other.name != version.name);
            latest.push(version);
        }
        let entries = latest.iter().filter_map(|version| entry(&version.name, &version.text)).collect();
        if let Ok(mut own) = self.own.lock() {
            *own = entries;
        }
        Ok(())
    }
}

/// The name a text gives its sheet.
fn sheet_name(text: &str) -> Result<String, AppError> {
    let name = sheet::edit::id_of(text).ok_or_else(|| AppError::Input {
        what: "the text names no unit".to_owned(),
        hint: "Write an id under [unit], and put right what is not TOML.".to_owned(),
    })?;
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if name.len() > LONGEST_NAME || !name.chars().all(fits) {
        let what = format!("“{name}” cannot name a sheet");
        return Err(AppError::Input { what, hint: "Small letters, digits and hyphens, at most 64.".to_owned() });
    }
    Ok(name)
}
