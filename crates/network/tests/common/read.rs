//! Reads networks of `reference/networks.json`, for the comparison with numpy and the bench.

use super::Built;
use network::Question;
use network::circuit::{CoreId, ElementId, Node};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The root of the workspace.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The Python that has numpy, as far as can be known without starting it.
pub fn python() -> PathBuf {
    let own = root().join(".venv/bin/python");
    let usual = || {
        if own.exists() {
            own
        } else {
            PathBuf::from("python3")
        }
    };
    std::env::var_os("WINDFALL_PYTHON").map_or_else(usual, PathBuf::from)
}

/// All networks of the file.
pub fn networks() -> Vec<Value> {
    let text = std::fs::read_to_string(root().join("reference/networks.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// One network of the file as a circuit, with its names.
pub struct Read {
    pub built: Built,
    pub nodes: BTreeMap<String, Node>,
    pub elements: BTreeMap<String, ElementId>,
    pub cores: Vec<String>,
}

impl Read {
    pub fn new(data: &Value) -> Self {
        let built = Built::new(data["frequency"].as_f64().unwrap());
        let mut read = Self {
            built,
            nodes: BTreeMap::new(),
            elements: BTreeMap::new(),
            cores: Vec::new(),
        };
        for (name, core) in data["cores"].as_object().into_iter().flatten() {
            read.core(name, core);
        }
        for element in data["elements"].as_array().unwrap() {
            let (name, id) = read.element(element);
            read.elements.insert(name, id);
        }
        read
    }

    fn core(&mut self, name: &str, core: &Value) {
        let number = |key: &str| core[key].as_f64().unwrap();
        let (turns, g, b) = (number("turns"), number("g"), number("b"));
        if core["bend"].is_object() {
            let bend = ["volts", "current_exponent", "watts_exponent", "knee"];
            self.built.bent_core(
                name,
                turns,
                g,
                b,
                bend.map(|k| core["bend"][k].as_f64().unwrap()),
            );
        } else {
            self.built.core(name, turns, g, b);
        }
        self.cores.push(name.to_owned());
    }

    fn node(&mut self, name: &Value) -> Node {
        let name = name.as_str().unwrap();
        if let Some(known) = self.nodes.get(name) {
            return *known;
        }
        let node = self.built.node(name);
        self.nodes.insert(name.to_owned(), node);
        node
    }

    fn element(&mut self, e: &Value) -> (String, ElementId) {
        let number = |key: &str| e[key].as_f64().unwrap();
        let kind = ["source", "impedance", "capacitor", "link", "winding"]
            .into_iter()
            .find(|k| e[*k].is_string())
            .unwrap();
        let name = e[kind].as_str().unwrap();
        if kind == "winding" {
            let core = self
                .cores
                .iter()
                .position(|c| *c == e["core"].as_str().unwrap())
                .unwrap();
            let points: Vec<(Node, f64)> = e["points"]
                .as_array()
                .unwrap()
                .iter()
                .map(|p| (self.node(&p[0]), p[1].as_f64().unwrap()))
                .collect();
            let sliders: Vec<(Node, f64, f64)> = e["sliders"]
                .as_array()
                .into_iter()
                .flatten()
                .map(|s| {
                    (
                        self.node(&s["node"]),
                        s["at"].as_f64().unwrap(),
                        s["brush"].as_f64().unwrap(),
                    )
                })
                .collect();
            let z = (number("ohms"), number("reactance"));
            return (
                name.into(),
                self.built
                    .winding(name, CoreId(core), number("turns"), z, &points, &sliders),
            );
        }
        let (from, to) = (self.node(&e["from"]), self.node(&e["to"]));
        let id = match kind {
            "source" => {
                let z = (number("ohms"), number("reactance"));
                self.built
                    .source(name, from, to, number("volts"), number("angle"), z)
            }
            "impedance" => {
                self.built
                    .impedance(name, from, to, (number("ohms"), number("reactance")))
            }
            "capacitor" => self.built.capacitor(name, from, to, number("farads")),
            _ => self.built.link(name, from, to),
        };
        (name.into(), id)
    }

    pub fn question(&self, ask: &Value) -> Question {
        let node = |v: &Value| self.nodes[v.as_str().unwrap()];
        if ask["ohms"].is_array() {
            return Question::Resistance {
                a: node(&ask["ohms"][0]),
                b: node(&ask["ohms"][1]),
            };
        }
        let burden = ask["burden"].as_f64().unwrap();
        if ask["volts"].is_array() {
            return Question::Voltage {
                a: node(&ask["volts"][0]),
                b: node(&ask["volts"][1]),
                burden,
            };
        }
        let through = ask["into"]
            .as_array()
            .unwrap()
            .iter()
            .map(|e| (self.elements[e.as_str().unwrap()], 1.0))
            .collect();
        Question::Current {
            node: node(&ask["at"]),
            through,
            burden,
        }
    }
}
