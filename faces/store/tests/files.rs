//! What can happen to a file: seals, other programs, other files, newer files, no room, and the power going away.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)] // tests fail by panicking; the child speaks to its parent

mod common;

use answer::NoProgress;
use common::{author, criteria, crown, file, recall, rules, today};
use register::{Counting, Import, Layout, Store, Work, enter};
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use store::{Keeper, Place, StoreError};

fn path(place: &Place) -> std::path::PathBuf {
    let Place::File(path) = place else { panic!() };
    path.clone()
}

fn bytes_of_folder(place: &Place) -> Vec<u8> {
    let folder = path(place).parent().unwrap().to_owned();
    let files = std::fs::read_dir(folder).unwrap().flatten();
    files.flat_map(|f| std::fs::read(f.path()).unwrap()).collect()
}

fn holds(bytes: &[u8], words: &str) -> bool {
    bytes.windows(words.len()).any(|w| w == words.as_bytes())
}

#[test]
fn identifying_fields_and_free_text_are_sealed_and_coded_columns_are_not() {
    let criteria = criteria();
    for (passphrase, sealed) in [(Some("long enough"), true), (None, false)] {
        let place = file();
        let mut keeper = Keeper::create(&place, passphrase).unwrap();
        enter(&mut keeper, &author(), "PSEUDO77", &[crown("R1", "PSEUDO77", "46", "2020-03-02")], rules(&criteria))
            .unwrap();
        drop(keeper);
        let bytes = bytes_of_folder(&place);
        assert_eq!(holds(&bytes, "PSEUDO77"), !sealed);
        assert_eq!(holds(&bytes, "wished it light"), !sealed);
        assert!(holds(&bytes, "lithium_disilicate") && holds(&bytes, "North"));
        if sealed {
            assert!(matches!(Keeper::open(&place, Some("wrong")).err().unwrap(), StoreError::WrongPassphrase));
            assert!(matches!(Keeper::open(&place, None).err().unwrap(), StoreError::NeedsPassphrase));
            assert_eq!(Keeper::open(&place, passphrase).unwrap().charts(&["PSEUDO77".into()]).unwrap().len(), 1);
        } else {
            assert!(matches!(Keeper::open(&place, Some("any")).err().unwrap(), StoreError::NotSealed));
        }
    }
}

#[test]
fn a_backup_is_restored_to_the_same_and_any_change_or_cut_is_seen() {
    let criteria = criteria();
    let mut keeper = Keeper::create(&file(), Some("one")).unwrap();
    for n in 1..=400 {
        let (patient, key) = (format!("P{n:03}"), format!("R{n}"));
        enter(&mut keeper, &author(), &patient, &[crown(&key, &patient, "46", "2020-03-02")], rules(&criteria))
            .unwrap();
    }
    let (mut whole, mut dump) = (Vec::new(), Vec::new());
    keeper.backup(&mut whole, "backup words").unwrap();
    keeper.dump(&mut dump).unwrap();
    assert!(whole.len() > 2 * 64 * 1024, "more than two chunks, else the test says little");
    assert!(!holds(&whole, "lithium_disilicate"));
    let mut other = Keeper::create(&file(), Some("two")).unwrap();
    other.restore(&mut whole.as_slice(), "backup words", &criteria).unwrap();
    let mut again = Vec::new();
    other.dump(&mut again).unwrap();
    assert_eq!(dump, again);
    let refuse = |bytes: &[u8], passphrase: &str| {
        let mut empty = Keeper::create(&file(), None).unwrap();
        let refused = empty.restore(&mut &*bytes, passphrase, &criteria).unwrap_err();
        assert!(matches!(refused, StoreError::Unreadable { .. }), "{refused}");
        assert_eq!(empty.totals().unwrap().patients, 0);
    };
    refuse(&whole, "other words");
    refuse(&whole[..whole.len() - 1], "backup words");
    refuse(&whole[..80 + 64 * 1024], "backup words");
    refuse(b"something else altogether, and long enough to hold a head", "backup words");
    let mut changed = whole.clone();
    changed[70_000] ^= 1;
    refuse(&changed, "backup words");
}

#[test]
fn other_files_newer_files_and_no_files_are_told_apart() {
    let place = file();
    assert!(matches!(Keeper::open(&place, None).err().unwrap(), StoreError::NotThere(_)));
    std::fs::write(path(&place), "a letter to the laboratory, and certainly no database of any kind").unwrap();
    assert!(matches!(Keeper::open(&place, None).err().unwrap(), StoreError::NotARegister(_)));
    assert!(matches!(Keeper::create(&place, None).err().unwrap(), StoreError::NotARegister(_)));
    let place = file();
    let mut keeper = Keeper::create(&place, None).unwrap();
    assert!(matches!(Keeper::create(&place, None).err().unwrap(), StoreError::StandsAlready(_)));
    keeper.by_hand("UPDATE meta SET value = '99' WHERE name = 'form'").unwrap();
    drop(keeper);
    let before = std::fs::read(path(&place)).unwrap();
    assert!(matches!(Keeper::open(&place, None).err().unwrap(), StoreError::Newer { found: 99, .. }));
    assert_eq!(before, std::fs::read(path(&place)).unwrap());
}

#[test]
fn a_locked_file_and_a_full_disk_lose_nothing_and_say_so() {
    let criteria = criteria();
    let place = file();
    let mut keeper = Keeper::create(&place, None).unwrap();
    enter(&mut keeper, &author(), "P01", &[crown("R1", "P01", "46", "2020-03-02")], rules(&criteria)).unwrap();
    // A limit of pages is how SQLite itself stands in for a full disk: the same code comes back.
    keeper.by_hand("PRAGMA max_page_count = 1").unwrap();
    let mut refused = None;
    for n in 0..2000 {
        let patient = format!("X{n}");
        let record = crown(&format!("X{n}"), &patient, "46", "2020-03-02");
        if let Err(e) = enter(&mut keeper, &author(), &patient, &[record], rules(&criteria)) {
            refused = Some((n, e.to_string()));
            break;
        }
    }
    let (n, words) = refused.unwrap();
    assert!(words.contains("disk is full"), "{words}");
    assert_eq!(keeper.totals().unwrap().patients, n + 1);
    keeper.by_hand("PRAGMA max_page_count = 1000000").unwrap();
    enter(&mut keeper, &author(), "P01", &[recall("C1", "R1", "2021-01-01")], rules(&criteria)).unwrap();
    // Another program holds the file.
    let mut other = Keeper::open(&place, None).unwrap();
    other.by_hand("BEGIN IMMEDIATE").unwrap();
    let words = enter(&mut keeper, &author(), "P01", &[recall("C2", "R1", "2022-01-01")], rules(&criteria));
    assert!(words.unwrap_err().to_string().contains("locked by another program"));
    other.by_hand("ROLLBACK").unwrap();
    enter(&mut keeper, &author(), "P01", &[recall("C2", "R1", "2022-01-01")], rules(&criteria)).unwrap();
}

/// Not a test of its own: the program that is killed. It enters patient after patient and says each one that was acknowledged.
#[test]
fn child_that_writes_until_killed() {
    let Ok(path) = std::env::var("BISQUE_CHILD_WRITES_TO") else { return };
    let criteria = criteria();
    let mut keeper = Keeper::open(&Place::parse(&path), None).unwrap();
    for n in 0.. {
        let (patient, key) = (format!("P{n}"), format!("R{n}"));
        let records = [crown(&key, &patient, "46", "2020-03-02"), recall(&format!("C{n}"), &key, "2021-01-01")];
        enter(&mut keeper, &author(), &patient, &records, rules(&criteria)).unwrap();
        println!("acknowledged {n}");
    }
}

#[test]
fn nothing_acknowledged_is_lost_when_the_program_is_killed_at_any_moment() {
    for round in 0u64..8 {
        let place = file();
        drop(Keeper::create(&place, None).unwrap());
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "child_that_writes_until_killed", "--nocapture"])
            .env("BISQUE_CHILD_WRITES_TO", path(&place))
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let (told, heard) = std::sync::mpsc::channel();
        let reader = std::thread::spawn(move || {
            let mut last: Option<i64> = None;
            for line in out.lines().map_while(Result::ok) {
                if let Some((_, n)) = line.split_once("acknowledged ") {
                    last = n.trim().parse().ok();
                    // Nobody listens any more once the moment has come.
                    let _ = told.send(());
                }
            }
            last
        });
        // The moment: after some writes were acknowledged, then anywhere within the next one or two.
        for _ in 0..(1 + 4 * round) {
            heard.recv().unwrap();
        }
        std::thread::sleep(std::time::Duration::from_micros((round * round * 7_919 + 131) % 6_000));
        child.kill().unwrap();
        child.wait().unwrap();
        let acknowledged = reader.join().unwrap().map_or(0, |n| n + 1);
        let mut keeper = Keeper::open(&place, None).unwrap();
        assert_eq!(keeper.by_hand("PRAGMA integrity_check").unwrap(), ["ok"]);
        let totals = keeper.totals().unwrap();
        // The last write may have been kept and not yet told.
        assert!((acknowledged..=acknowledged + 1).contains(&totals.patients), "{acknowledged} told, {totals:?} kept");
        assert_eq!(
            (totals.restorations, totals.recalls),
            (totals.patients, totals.patients),
            "a write was kept in part"
        );
        let lines = keeper.by_hand("SELECT CAST(COUNT(*) AS TEXT) FROM history").unwrap();
        assert_eq!(lines, [(3 * totals.patients).to_string()]);
        assert!(acknowledged > 0);
    }
}

/// One crown a line, each of a patient of its own.
fn table(head: &str, rows: usize) -> String {
    let lines = (0..rows).map(|i| format!("{head}{i},{},2020-03-02\n", 11 + i % 7));
    std::iter::once("patient,tooth,placed\n".to_owned()).chain(lines).collect()
}

/// So many new rows that indices are made anew at the end: they are all there again, also when the write fails on the way.
#[test]
fn an_import_of_many_rows_keeps_the_indices_and_changes_nothing_the_second_time() {
    let layout = "[columns]\npatient = \"patient\"\nteeth = \"tooth\"\nplaced = \"placed\"\n\
                  [fixed]\nconstruct = \"crown\"\nmaterial = \"leucite\"\nbuild = \"monolithic\"\n";
    let (layout, criteria) = (Layout::parse("layout.toml", layout).unwrap(), criteria());
    let place = file();
    let mut keeper = Keeper::create(&place, None).unwrap();
    let indices = |keeper: &mut Keeper| {
        keeper.by_hand(
            "SELECT name || tbl_name || sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL ORDER BY name",
        )
    };
    let fresh = indices(&mut keeper).unwrap();
    assert!(fresh.len() >= 5, "{fresh:?}");
    let rows = 11_000;
    let take = |keeper: &mut Keeper, text: &str| {
        let import = Import::of_text("old.csv", text, &layout, today()).unwrap();
        import.take(&mut Work { store: keeper, author: &author(), rules: rules(&criteria) }, false, &NoProgress)
    };
    assert_eq!(take(&mut keeper, &table("P", rows)).unwrap().added, rows);
    assert_eq!(indices(&mut keeper).unwrap(), fresh);
    let again = take(&mut keeper, &table("P", rows)).unwrap();
    assert_eq!((again.added, again.unchanged), (0, rows));
    keeper
        .by_hand("CREATE TRIGGER stop BEFORE INSERT ON restoration WHEN NEW.patient = 'Q9999' BEGIN SELECT RAISE(ABORT, 'no'); END")
        .unwrap();
    assert!(take(&mut keeper, &table("Q", rows)).is_err());
    drop(keeper);
    let mut keeper = Keeper::open(&place, None).unwrap();
    assert_eq!(indices(&mut keeper).unwrap(), fresh);
    let totals = keeper.totals().unwrap();
    assert_eq!((totals.patients, totals.restorations), (rows as i64, rows as i64));
    assert_eq!(keeper.by_hand("PRAGMA integrity_check").unwrap(), ["ok"]);
}
