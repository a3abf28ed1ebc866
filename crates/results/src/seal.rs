//! Seals: signatures of a results folder's manifest, which holds the checksum of every file. Who trusts a key can tell results
//! as its owner left them from results that were changed together with their checksums.
//!
//! A seal is an SSH signature (`-----BEGIN SSH SIGNATURE-----`) in a file beside the manifest, as `ssh-keygen -Y sign -n
//! giveway-results -f KEY manifest.json` writes it, so that it can be made and checked without this program.
//!
//! References
//! - OpenSSH, PROTOCOL.sshsig (signatures of files) and PROTOCOL.key (key files).
//! - S. Josefsson and I. Liusvaara, RFC 8032 (2017): Ed25519. B. Harris and L. Velvindron, RFC 8709 (2020): its keys in SSH.

use std::fs;
use std::io::Read;
use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use ssh_key::{Algorithm, HashAlg, LineEnding, PrivateKey, PublicKey, SshSig};

use crate::ResultsError;
use crate::file_names::{SEAL_ENDING, is_seal};
use crate::manifest::MANIFEST_NAME;
use crate::notes::{hold_results, put_file};

/// What the signatures are for; `ssh-keygen -Y` calls it namespace.
pub const SEAL_NAMESPACE: &str = "giveway-results";
/// Most seals of a folder.
pub const MOST_SEALS: usize = 20;
/// Largest seal, key or list of keys that is read, bytes.
const LARGEST: u64 = 1 << 20;

/// How a seal stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SealState {
    /// It is the key's signature of the manifest as it is.
    Valid,
    /// It is not: manifest or seal was changed.
    Broken,
    /// It cannot be checked here: another kind of key, or no such signature.
    Unknown,
}

/// A seal of a folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Seal {
    /// File.
    pub file: String,
    /// How it stands.
    pub state: SealState,
    /// Fingerprint of the key, as `ssh-keygen -l` prints it; empty where there is none.
    pub key: String,
    /// Whose key it is by the list of signers; null where there is no list or the key is not in it.
    pub signer: Option<String>,
    /// Why it is not valid.
    pub reason: Option<String>,
}

impl Seal {
    /// One plain line.
    pub fn line(&self) -> String {
        let whose = match (&self.signer, self.state) {
            (Some(name), _) => format!(" of {name}"),
            (None, SealState::Valid) => {
                "; whose it is, the owner's own list of keys says".to_owned()
            }
            _ => String::new(),
        };
        let reason = self
            .reason
            .as_ref()
            .map_or(String::new(), |r| format!(" ({r})"));
        match self.state {
            SealState::Valid => format!("seal {}: valid, key {}{whose}", self.file, self.key),
            SealState::Broken => format!(
                "seal {}: BROKEN{reason}, key {}{whose}",
                self.file, self.key
            ),
            SealState::Unknown => format!("seal {}: not checked{reason}", self.file),
        }
    }
}

/// Keys that a reader trusts, each with whose it is.
#[derive(Debug, Clone, Default)]
pub struct Signers(Vec<(String, PublicKey)>);

impl Signers {
    /// From a list: one a line, `name ssh-ed25519 AAAA...` as for `ssh-keygen -Y verify`, or the line of a public key file;
    /// blank lines and those that begin with `#` are passed over.
    ///
    /// # Errors
    /// A line that holds no key, or a list without any.
    pub fn read(path: &Path) -> Result<Self, ResultsError> {
        let bad = |reason: String| ResultsError::json(path, "a list of public keys", reason);
        let mut keys = Vec::new();
        for (i, line) in text_of(path)?.lines().enumerate() {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let start = line
                .find("ssh-ed25519 ")
                .ok_or_else(|| bad(format!("line {} holds no Ed25519 key", i + 1)))?;
            let key = PublicKey::from_openssh(&line[start..])
                .map_err(|e| bad(format!("line {}: {e}", i + 1)))?;
            let before = line[..start].split_whitespace().next().unwrap_or_default();
            let name = if before.is_empty() {
                key.comment()
            } else {
                before
            };
            keys.push((name.to_owned(), key));
        }
        if keys.is_empty() {
            return Err(bad("it holds no key".to_owned()));
        }
        Ok(Self(keys))
    }

    fn name_of(&self, key: &PublicKey) -> Option<String> {
        let found = self
            .0
            .iter()
            .find(|(_, known)| known.key_data() == key.key_data());
        found.map(|(name, _)| name.clone())
    }
}

/// The private key of a file: Ed25519, in the format of OpenSSH, without a passphrase.
///
/// # Errors
/// A file that does not read, or that holds another kind of key.
pub fn read_key(path: &Path) -> Result<PrivateKey, ResultsError> {
    let bad = |reason: String| ResultsError::json(path, "a private key", reason);
    let by_hand = format!(
        "let its own program sign: `ssh-keygen -Y sign -n {SEAL_NAMESPACE} -f KEY {MANIFEST_NAME}`"
    );
    // What was read is not repeated: it is a secret.
    let key = PrivateKey::from_openssh(text_of(path)?).map_err(|e| bad(e.to_string()))?;
    if key.is_encrypted() {
        return Err(bad(format!("it has a passphrase; {by_hand}")));
    }
    if key.algorithm() != Algorithm::Ed25519 {
        return Err(bad(format!("it is no Ed25519 key; {by_hand}")));
    }
    Ok(key)
}

/// The seals of a folder in the order of their names, checked against its manifest.
///
/// # Errors
/// What the system refuses; more seals than are kept.
pub fn read_seals(folder: &Path, signers: &Signers) -> Result<Vec<Seal>, ResultsError> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .map_err(ResultsError::io("list", folder))?
        .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
        .filter(|name| is_seal(name))
        .collect();
    names.sort();
    if names.len() > MOST_SEALS {
        return Err(ResultsError::OtherResults {
            folder: folder.to_owned(),
            reason: format!("it holds more than {MOST_SEALS} seals"),
        });
    }
    if names.is_empty() {
        return Ok(Vec::new());
    }
    let manifest = bytes_of(&folder.join(MANIFEST_NAME))?;
    Ok(names
        .into_iter()
        .map(|name| one(folder, name, &manifest, signers))
        .collect())
}

fn one(folder: &Path, file: String, manifest: &[u8], signers: &Signers) -> Seal {
    let mut seal = Seal {
        state: SealState::Unknown,
        key: String::new(),
        signer: None,
        reason: None,
        file,
    };
    let read = text_of(&folder.join(&seal.file)).map_err(|e| e.to_string());
    let signature = match read.and_then(|text| SshSig::from_pem(text).map_err(|e| e.to_string())) {
        Ok(signature) => signature,
        Err(problem) => {
            seal.reason = Some(format!("it is no SSH signature: {problem}"));
            return seal;
        }
    };
    let key = PublicKey::from(signature.public_key().clone());
    seal.key = key.fingerprint(HashAlg::Sha256).to_string();
    seal.signer = signers.name_of(&key);
    if key.algorithm() != Algorithm::Ed25519 {
        seal.reason = Some(format!(
            "its key is of the kind {}; `ssh-keygen -Y verify` checks it",
            key.algorithm()
        ));
        return seal;
    }
    let (state, reason) = match key.verify(SEAL_NAMESPACE, manifest, &signature) {
        Ok(()) => (SealState::Valid, None),
        Err(_) if signature.namespace() != SEAL_NAMESPACE => (
            SealState::Broken,
            Some("it was made for another purpose".to_owned()),
        ),
        Err(_) => (
            SealState::Broken,
            Some("the manifest is not what was sealed".to_owned()),
        ),
    };
    seal.state = state;
    seal.reason = reason;
    seal
}

/// Seals whole results, with this checksum, and returns the seal's file name.
///
/// # Errors
/// Results that were changed, what the system refuses, or too many seals.
pub fn add_seal(
    folder: &Path,
    key: &PrivateKey,
    results_blake3: &str,
) -> Result<String, ResultsError> {
    let hold = hold_results(folder, "seal", results_blake3)?;
    let folder = hold.folder();
    let free = (1..=MOST_SEALS).map(|n| match n {
        1 => format!("{MANIFEST_NAME}{SEAL_ENDING}"),
        n => format!("{MANIFEST_NAME}.{n}{SEAL_ENDING}"),
    });
    let other = |reason: String| ResultsError::OtherResults {
        folder: folder.to_owned(),
        reason,
    };
    let name = { free }
        .find(|name| !folder.join(name).exists())
        .ok_or_else(|| other(format!("it has {MOST_SEALS} seals already")))?;
    let manifest = bytes_of(&folder.join(MANIFEST_NAME))?;
    let text = key
        .sign(SEAL_NAMESPACE, HashAlg::Sha512, &manifest)
        .and_then(|signature| signature.to_pem(LineEnding::LF))
        .map_err(|e| other(format!("the key cannot sign: {e}")))?;
    put_file(folder, &name, text.as_bytes())?;
    Ok(name)
}

/// SHA-256 of a folder's manifest, as `sha256sum manifest.json` prints it: with it on paper, or anywhere else, nobody can change
/// the folder and its checksums unseen.
///
/// # Errors
/// A manifest that does not read.
pub fn anchor(folder: &Path) -> Result<String, ResultsError> {
    let bytes = bytes_of(&folder.join(MANIFEST_NAME))?;
    Ok(Sha256::digest(bytes)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect())
}

fn bytes_of(path: &Path) -> Result<Vec<u8>, ResultsError> {
    fs::read(path).map_err(ResultsError::io("read", path))
}

fn text_of(path: &Path) -> Result<String, ResultsError> {
    let mut text = String::new();
    fs::File::open(path)
        .and_then(|file| file.take(LARGEST).read_to_string(&mut text))
        .map_err(ResultsError::io("read", path))?;
    Ok(text)
}
