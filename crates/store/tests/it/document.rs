//! Prints and small documents.

use store::{NewProof, Store, StoreError, format::digest};

use crate::support::{assert_sound, run, write};

fn print(seq: i64, bytes: &[u8]) -> NewProof {
    NewProof {
        seq,
        printed_ms: 1_700_000_000_000,
        mime: "application/pdf".to_owned(),
        model_version: "1.0".to_owned(),
        bytes: bytes.to_owned(),
    }
}

#[tokio::test]
async fn law_a_print_stays_as_printed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    let store = Store::open(&path).await.unwrap();
    write(&store, "j-1", "c-1", 3).await.unwrap();
    let every_byte: Vec<u8> = (0..=255).cycle().take(200_000).collect();
    assert_eq!(store.keep_proof("j-1", &print(2, &every_byte)).await.unwrap(), 1);
    assert_eq!(store.keep_proof("j-1", &print(3, &every_byte)).await.unwrap(), 2);
    // The same print again is the same print, whenever it is sent.
    let again = NewProof { printed_ms: 1, ..print(2, &every_byte) };
    assert_eq!(store.keep_proof("j-1", &again).await.unwrap(), 1);
    let proofs = store.proofs("j-1").await.unwrap();
    assert_eq!(proofs.iter().map(|proof| (proof.number, proof.seq)).collect::<Vec<_>>(), [(1, 2), (2, 3)]);
    assert_eq!((&proofs[0].bytes, &proofs[0].digest), (&every_byte, &digest(&every_byte)));
    assert_eq!(store.proof("j-1", 2).await.unwrap().as_ref(), Some(&proofs[1]));
    assert_eq!(store.proof("j-1", 3).await.unwrap(), None);
    for statement in ["UPDATE proof SET mime = 'x'", "DELETE FROM proof", "REPLACE INTO proof SELECT * FROM proof"] {
        assert!(run(&path, statement).await.is_err(), "{statement}");
    }
    assert_eq!(store.verify_all().await.unwrap().proofs, 2);
    assert_sound(&store).await;
    for (job, bad) in [
        ("j-1", print(4, b"x")),
        ("j-1", print(0, b"x")),
        ("j-2", print(1, b"x")),
        ("j-1", print(1, b"")),
        ("", print(1, b"x")),
        ("j-1", NewProof { mime: String::new(), ..print(1, b"x") }),
    ] {
        assert!(matches!(store.keep_proof(job, &bad).await, Err(StoreError::Input { .. })), "{job} {bad:?}");
    }
}

#[tokio::test]
async fn law_a_document_is_the_last_one_put() {
    let store = Store::in_memory().await.unwrap();
    assert_eq!(store.document("settings", "workshop").await.unwrap(), None);
    for body in ["{\"name\":\"Bay Two\"}", "{\"name\":\"Bay Three\"}"] {
        store.put_document("settings", "workshop", body).await.unwrap();
        assert_eq!(store.document("settings", "workshop").await.unwrap().as_deref(), Some(body));
    }
    store.put_document("settings", "hours", "[8, 17]").await.unwrap();
    store.put_document("note", "hours", "1").await.unwrap();
    let all = store.documents("settings").await.unwrap();
    assert_eq!(all.iter().map(|(id, _)| id.as_str()).collect::<Vec<_>>(), ["hours", "workshop"]);
    for (kind, id, body) in [("", "a", "1"), ("a", "", "1"), ("a", "a", ""), ("a", "a", "{")] {
        assert!(matches!(store.put_document(kind, id, body).await, Err(StoreError::Input { .. })));
    }
}
