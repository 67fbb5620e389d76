//! What `cargo metadata` says about the workspace and everything it is built from.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use serde_json::Value;

/// A package and what it needs.
#[derive(Debug, Clone, Default)]
pub struct Package {
    pub name: String,
    pub licence: Option<String>,
    pub member: bool,
    /// Ids of what it needs to run or to be built.
    pub normal: Vec<String>,
    /// Ids of what only its tests need.
    pub dev: Vec<String>,
}

/// Packages by id, for the platform this runs on.
#[derive(Debug, Default)]
pub struct Metadata {
    pub packages: BTreeMap<String, Package>,
}

impl Metadata {
    pub fn load() -> Result<Self, String> {
        let version = crate::run::printed(Command::new("rustc").arg("-vV"), "rustc -vV")?;
        let host = version.lines().find_map(|l| l.strip_prefix("host: ")).ok_or("rustc -vV names no host")?;
        let mut cargo = crate::run::cargo_command(&["metadata", "--format-version=1", "--filter-platform", host]);
        let text = crate::run::printed(&mut cargo, "cargo metadata")?;
        let value: Value = serde_json::from_str(&text).map_err(|e| format!("cargo metadata: {e}"))?;
        Ok(Self::from_json(&value))
    }

    fn from_json(value: &Value) -> Self {
        let text = |v: &Value| v.as_str().unwrap_or_default().to_owned();
        let list = |v: &Value| v.as_array().cloned().unwrap_or_default();
        let members: BTreeSet<String> = list(&value["workspace_members"]).iter().map(text).collect();
        let mut packages = BTreeMap::new();
        for package in list(&value["packages"]) {
            let id = text(&package["id"]);
            let licence = package["license"].as_str().map(str::to_owned);
            let member = members.contains(&id);
            packages.insert(id, Package { name: text(&package["name"]), licence, member, ..Package::default() });
        }
        for node in list(&value["resolve"]["nodes"]) {
            let Some(package) = packages.get_mut(&text(&node["id"])) else { continue };
            for dependency in list(&node["deps"]) {
                let dev = |kind: &Value| kind["kind"] == "dev";
                let kinds = list(&dependency["dep_kinds"]);
                if kinds.iter().any(dev) {
                    package.dev.push(text(&dependency["pkg"]));
                }
                if !kinds.iter().all(dev) {
                    package.normal.push(text(&dependency["pkg"]));
                }
            }
        }
        Self { packages }
    }

    pub fn name<'a>(&'a self, id: &'a str) -> &'a str {
        self.packages.get(id).map_or(id, |p| &p.name)
    }

    /// Names of the crates of the workspace.
    pub fn members(&self) -> BTreeSet<String> {
        self.packages.values().filter(|p| p.member).map(|p| p.name.clone()).collect()
    }

    /// Ids of everything that the given packages need to run or be built, themselves included.
    pub fn tree(&self, roots: impl IntoIterator<Item = String>) -> BTreeSet<String> {
        let mut open: Vec<String> = roots.into_iter().collect();
        let mut tree = BTreeSet::new();
        while let Some(id) = open.pop() {
            if let Some(package) = self.packages.get(&id)
                && tree.insert(id)
            {
                open.extend(package.normal.iter().cloned());
            }
        }
        tree
    }
}

/// Name, licence, member of the workspace, needed, needed by tests.
#[cfg(test)]
type Row<'a> = (&'a str, Option<&'a str>, bool, &'a [&'a str], &'a [&'a str]);

/// A workspace made up for a test; the names are the ids.
#[cfg(test)]
pub fn made_up(rows: &[Row]) -> Metadata {
    let owned = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect();
    let package = |(name, licence, member, normal, dev): &Row| {
        let name = (*name).to_owned();
        let package = Package {
            name: name.clone(),
            licence: licence.map(str::to_owned),
            member: *member,
            normal: owned(normal),
            dev: owned(dev),
        };
        (name, package)
    };
    Metadata { packages: rows.iter().map(package).collect() }
}

#[cfg(test)]
mod tests {
    use super::Metadata;

    #[test]
    fn hand_kinds_of_dependency() {
        let value = serde_json::json!({
            "workspace_members": ["a"],
            "packages": [{"id": "a", "name": "a", "license": "MIT"}, {"id": "b", "name": "b", "license": null}],
            "resolve": {"nodes": [{"id": "a", "deps": [
                {"pkg": "b", "dep_kinds": [{"kind": "dev"}, {"kind": null}]},
                {"pkg": "c", "dep_kinds": [{"kind": "dev"}]},
                {"pkg": "d", "dep_kinds": [{"kind": "build"}]},
            ]}]},
        });
        let metadata = Metadata::from_json(&value);
        let a = &metadata.packages["a"];
        assert_eq!(
            (a.normal.as_slice(), a.dev.as_slice()),
            (["b", "d"].map(String::from).as_slice(), ["b", "c"].map(String::from).as_slice())
        );
        assert_eq!(metadata.members().into_iter().collect::<Vec<_>>(), ["a"]);
        assert_eq!(metadata.tree(["a".to_owned()]).len(), 2);
    }
}
