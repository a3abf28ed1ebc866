//! Buffer, accessors and the file itself.

use serde_json::{Value, json};

use super::mesh::Mesh;
use crate::ResultsError;
use crate::replay::track::Samples;

/// What of a node moves.
#[derive(Debug, Clone, Copy)]
pub(super) enum Motion {
    /// Its place.
    Place,
    /// Its attitude, quaternion x, y, z, w.
    Turn,
}

/// Collects nodes, meshes and animated channels.
pub(super) struct Writer {
    end_s: f64,
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
    nodes: Vec<Value>,
    meshes: Vec<Value>,
    samplers: Vec<Value>,
    channels: Vec<Value>,
}

const FLOAT: u32 = 5126;
const ARRAY_BUFFER: u32 = 34962;

impl Writer {
    /// An animation that lasts until `end_s`.
    pub fn new(end_s: f64) -> Self {
        Self {
            end_s,
            bytes: Vec::new(),
            views: Vec::new(),
            accessors: Vec::new(),
            nodes: Vec::new(),
            meshes: Vec::new(),
            samplers: Vec::new(),
            channels: Vec::new(),
        }
    }

    /// A node as it stands.
    pub fn node(&mut self, node: Value) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    /// A node with a mesh.
    pub fn meshed(&mut self, name: &str, mesh: &Mesh, material: usize) -> usize {
        let places = self.accessor("VEC3", &mesh.places, Some(ARRAY_BUFFER));
        let normals = self.accessor("VEC3", &mesh.normals, Some(ARRAY_BUFFER));
        self.meshes.push(json!({
            "name": name,
            "primitives": [{
                "attributes": { "POSITION": places, "NORMAL": normals },
                "material": material,
            }],
        }));
        let mesh = self.meshes.len() - 1;
        self.node(json!({ "name": name, "mesh": mesh }))
    }

    /// Place and attitude of a node along a track of poses.
    pub fn pose(&mut self, node: usize, track: &Samples) {
        let n = track.times_s.len();
        let at = |i: usize, c: usize| track.values.get(c).map_or(0.0, |v| v[i]);
        let places: Vec<[f64; 3]> = (0..n).map(|i| [at(i, 0), at(i, 1), at(i, 2)]).collect();
        let turns: Vec<[f64; 4]> = (0..n)
            .map(|i| {
                let q = [at(i, 4), at(i, 5), at(i, 6), at(i, 3)];
                let norm = q.iter().map(|c| c * c).sum::<f64>().sqrt().max(1e-12);
                q.map(|c| c / norm)
            })
            .collect();
        self.animate(node, Motion::Place, &track.times_s, &places);
        self.animate(node, Motion::Turn, &track.times_s, &turns);
    }

    /// Values of a node at times, linear between them, up to the end of the animation.
    pub fn animate<const N: usize>(
        &mut self,
        node: usize,
        motion: Motion,
        times: &[f64],
        values: &[[f64; N]],
    ) {
        let path = match motion {
            Motion::Place => "translation",
            Motion::Turn => "rotation",
        };
        let mut keys: Vec<(f64, [f64; N])> = times
            .iter()
            .copied()
            .zip(values.iter().copied())
            .take_while(|(t, _)| *t <= self.end_s + 1e-9)
            .collect();
        // Times must differ as they are written.
        keys.dedup_by_key(|(t, _)| *t as f32);
        let Some((_, first)) = keys.first().copied() else {
            return;
        };
        if let Some(members) = self.nodes[node].as_object_mut() {
            members.insert(
                path.to_owned(),
                json!(first.map(|c| f64::from(c as f32)).to_vec()),
            );
        }
        let kind = if N == 4 { "VEC4" } else { "VEC3" };
        let values: Vec<[f64; N]> = keys.iter().map(|k| k.1).collect();
        let times: Vec<[f64; 1]> = keys.iter().map(|k| [k.0]).collect();
        self.channel(node, path, "LINEAR", &times, (kind, &values));
    }

    /// A node that is gone from a time on.
    pub fn vanish(&mut self, node: usize, time_s: f64) {
        if time_s <= 1e-4 || time_s > self.end_s {
            return;
        }
        let values = [[1.0; 3], [0.0; 3]];
        self.channel(node, "scale", "STEP", &[[0.0], [time_s]], ("VEC3", &values));
    }

    fn channel<const N: usize>(
        &mut self,
        node: usize,
        path: &str,
        interpolation: &str,
        times: &[[f64; 1]],
        (kind, values): (&str, &[[f64; N]]),
    ) {
        let input = self.accessor("SCALAR", times, None);
        let output = self.accessor(kind, values, None);
        self.samplers.push(json!({
            "input": input,
            "output": output,
            "interpolation": interpolation,
        }));
        let sampler = self.samplers.len() - 1;
        self.channels.push(json!({
            "sampler": sampler,
            "target": { "node": node, "path": path },
        }));
    }

    fn accessor<const N: usize>(
        &mut self,
        kind: &str,
        values: &[[f64; N]],
        target: Option<u32>,
    ) -> usize {
        let offset = self.bytes.len();
        let (mut low, mut high) = ([f32::INFINITY; N], [f32::NEG_INFINITY; N]);
        for value in values {
            for (i, c) in value.iter().enumerate() {
                let c = *c as f32;
                low[i] = low[i].min(c);
                high[i] = high[i].max(c);
                self.bytes.extend_from_slice(&c.to_le_bytes());
            }
        }
        let mut view = json!({
            "buffer": 0,
            "byteOffset": offset,
            "byteLength": self.bytes.len() - offset,
        });
        if let (Some(target), Some(members)) = (target, view.as_object_mut()) {
            members.insert("target".to_owned(), json!(target));
        }
        self.views.push(view);
        self.accessors.push(json!({
            "bufferView": self.views.len() - 1,
            "componentType": FLOAT,
            "count": values.len(),
            "type": kind,
            "min": low.map(f64::from).to_vec(),
            "max": high.map(f64::from).to_vec(),
        }));
        self.accessors.len() - 1
    }

    /// The binary file: header, JSON, buffer.
    pub fn finish(
        self,
        root: usize,
        materials: &[(&str, [f64; 3], f64)],
        title: &str,
        caution: &str,
    ) -> Result<Vec<u8>, ResultsError> {
        let materials: Vec<Value> = materials
            .iter()
            .map(|(name, [r, g, b], rough)| {
                json!({
                    "name": name,
                    "pbrMetallicRoughness": {
                        "baseColorFactor": [r, g, b, 1.0],
                        "metallicFactor": 0.0,
                        "roughnessFactor": rough,
                    },
                })
            })
            .collect();
        let text = json!({
            "asset": {
                "version": "2.0",
                "generator": concat!("giveway ", env!("CARGO_PKG_VERSION")),
                "extras": { "title": title, "caution": caution },
            },
            "scene": 0,
            "scenes": [{ "name": title, "nodes": [root] }],
            "nodes": self.nodes,
            "meshes": self.meshes,
            "materials": materials,
            "animations": [{
                "name": "impact",
                "samplers": self.samplers,
                "channels": self.channels,
            }],
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{ "byteLength": self.bytes.len() }],
        });
        let mut text = serde_json::to_vec(&text).map_err(ResultsError::scene)?;
        // Chunks are whole multiples of four bytes.
        text.resize(text.len().next_multiple_of(4), b' ');
        let mut buffer = self.bytes;
        buffer.resize(buffer.len().next_multiple_of(4), 0);
        let whole = 12 + 8 + text.len() + 8 + buffer.len();
        let mut out = Vec::with_capacity(whole);
        let word = |out: &mut Vec<u8>, n: usize| {
            let large = |_| ResultsError::scene("the file would be larger than 4 GiB");
            let n = u32::try_from(n).map_err(large)?;
            out.extend_from_slice(&n.to_le_bytes());
            Ok::<(), ResultsError>(())
        };
        out.extend_from_slice(b"glTF");
        word(&mut out, 2)?;
        word(&mut out, whole)?;
        word(&mut out, text.len())?;
        out.extend_from_slice(b"JSON");
        out.extend_from_slice(&text);
        word(&mut out, buffer.len())?;
        out.extend_from_slice(b"BIN\0");
        out.extend_from_slice(&buffer);
        Ok(out)
    }
}
