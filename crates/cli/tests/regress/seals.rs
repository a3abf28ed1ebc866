//! Seen: who changed results and put right every checksum could not be told from an honest old folder. Expected: with a seal
//! of a trusted key, or the anchor line on paper, the change is told.

use std::fs;
use std::process::Command;

use ssh_key::LineEnding;
use ssh_key::private::{Ed25519Keypair, PrivateKey};

use super::{copy, edit, new_place, rehash};

fn key(seed: u8) -> PrivateKey {
    PrivateKey::from(Ed25519Keypair::from_seed(&[seed; 32]))
}

#[test]
fn a_seal_tells_a_forgery_from_the_honest_folder() {
    let place = new_place("seals");
    place.done(&["run", "pole.toml", "--no-figures"]);
    for (name, seed) in [("mine", 7), ("other", 8)] {
        fs::write(
            place.at(name),
            key(seed).to_openssh(LineEnding::LF).unwrap().as_bytes(),
        )
        .unwrap();
        let line = key(seed).public_key().to_openssh().unwrap();
        fs::write(
            place.at(&format!("{name}.signers")),
            format!("# keys\n{name}@harrow-vale {line}\n"),
        )
        .unwrap();
    }
    let out = place.done(&["seal", "runs/pole"]);
    assert!(
        out.contains("no seal") && out.contains("anchor: SHA-256 of manifest.json "),
        "{out}"
    );
    let anchor = out.split("manifest.json ").nth(1).unwrap()[..64].to_owned();
    let out = place.done(&[
        "seal",
        "runs/pole",
        "--key",
        "mine",
        "--signers",
        "mine.signers",
    ]);
    assert!(
        out.contains("seal manifest.json.sig: valid, key SHA256:")
            && out.contains("of mine@harrow-vale"),
        "{out}"
    );
    let (code, out, err) = place.run(&[
        "rerun",
        "runs/pole",
        "--signers",
        "mine.signers",
        "--anchor",
        &anchor,
    ]);
    assert!(code == 0 && out.contains("valid"), "{code} {out}{err}");
    // Not the key that is trusted.
    let (code, _, err) = place.run(&["rerun", "runs/pole", "--signers", "other.signers"]);
    assert!(
        code == 10 && err.contains("no valid seal by a key of the list"),
        "{err}"
    );
    // A second seal stands beside the first; a run does not replace sealed results; the report shows them.
    place.done(&["seal", "runs/pole", "--key", "other"]);
    assert!(place.at("runs/pole/manifest.json.2.sig").exists());
    let (code, _, err) = place.run(&["run", "pole.toml", "--no-figures"]);
    assert!(code == 4 && err.contains("holds the seal"), "{err}");
    place.done(&["report", "runs/pole", "--out", "page.html"]);
    let page = fs::read_to_string(place.at("page.html")).unwrap();
    assert!(page.contains("seal manifest.json.sig: valid") && page.contains(&anchor));
    assert!(
        place
            .done(&["note", "runs/pole"])
            .contains("seal manifest.json.2.sig: valid")
    );

    // A forgery with every checksum put right.
    copy(&place.at("runs/pole"), &place.at("forged"));
    edit(
        &place.at("forged/summary.json"),
        "\"peak_force_n\": ",
        "\"peak_force_n\": 1",
    );
    rehash(&place.at("forged"));
    let (code, _, err) = place.run(&["rerun", "forged"]);
    assert!(code == 10 && err.contains("is broken"), "{code} {err}");
    assert_eq!(place.run(&["seal", "forged"]).0, 10);
    assert_eq!(
        place
            .run(&["note", "forged", "--name", "n", "--text", "t"])
            .0,
        10
    );
    place.done(&["report", "forged", "--out", "forged.html"]);
    assert!(
        fs::read_to_string(place.at("forged.html"))
            .unwrap()
            .contains("is broken")
    );
    // Without the seals the anchor still tells it, and the list of signers.
    for name in ["manifest.json.sig", "manifest.json.2.sig"] {
        fs::remove_file(place.at("forged").join(name)).unwrap();
    }
    assert_eq!(place.run(&["rerun", "forged", "--anchor", &anchor]).0, 10);
    assert_eq!(
        place
            .run(&["rerun", "forged", "--signers", "mine.signers"])
            .0,
        10
    );

    // The standard's own program reads our seals and we read its.
    let keygen = |arguments: &[&str], input: Option<&str>| {
        let mut command = Command::new("ssh-keygen");
        command.args(arguments).current_dir(place.at("runs/pole"));
        if let Some(input) = input {
            command.stdin(fs::File::open(place.at(input)).unwrap());
        }
        command.output()
    };
    let check = [
        "-Y",
        "verify",
        "-f",
        "../../mine.signers",
        "-I",
        "mine@harrow-vale",
        "-n",
        "giveway-results",
        "-s",
        "manifest.json.sig",
    ];
    let Ok(read) = keygen(&check, Some("runs/pole/manifest.json")) else {
        return;
    };
    assert!(
        read.status.success(),
        "{}",
        String::from_utf8_lossy(&read.stderr)
    );
    fs::remove_file(place.at("runs/pole/manifest.json.sig")).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(place.at("mine"), fs::Permissions::from_mode(0o600)).unwrap();
    }
    let made = keygen(
        &[
            "-Y",
            "sign",
            "-f",
            "../../mine",
            "-n",
            "giveway-results",
            "manifest.json",
        ],
        None,
    )
    .unwrap();
    assert!(
        made.status.success(),
        "{}",
        String::from_utf8_lossy(&made.stderr)
    );
    assert_eq!(
        place
            .run(&["rerun", "runs/pole", "--signers", "mine.signers", "--quiet"])
            .0,
        0
    );
}
