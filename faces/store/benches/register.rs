//! How long an import and an audit take. `cargo bench -p store -- [ROWS] [postgres://user@host/database]`; without a server a file of its own.
//!
//! Rows are invented (1.7 restorations a patient, a last look each, an event in eight), taken in twice (the second time must change nothing), then counted
//! as an audit counts. Wall and processor seconds of this program (a server's own are not in them), rows that came back, and their size as text.
#![allow(clippy::unwrap_used, clippy::print_stdout)] // a report on the terminal; a broken bench may stop

use answer::NoProgress;
use register::counting::{Endpoint, Question};
use register::words::Grouping;
use register::{Author, Counting, Criteria, Day, Import, Layout, Rules, Taken, Work, audit};
use std::fmt::Write as _;
use std::time::Instant;
use store::{Keeper, Place};

const LAYOUT: &str = r#"schema = 1
dates = "YYYY-MM-DD"
[columns]
patient = "patient"
teeth = "tooth"
placed = "placed"
material = "material"
build = "build"
laboratory = "laboratory"
last_seen = "seen"
event = "event"
event_found = "found"
consequence = "done"
[fixed]
construct = "crown"
"#;

/// A table of so many restorations.
fn table(rows: usize) -> String {
    let mut state = 4u64;
    // Steele, Lea, Flood 2014, doi 10.1145/2660193.2660195: a stream of its own, since nothing here is a field of a world.
    let mut draw = |below: u64| {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % below
    };
    let mut text = String::from("patient,tooth,placed,material,build,laboratory,seen,event,found,done\n");
    let start = Day::new(2008, 1, 1).unwrap();
    let (mut patient, mut row) = (0, 0);
    while row < rows {
        patient += 1;
        let first = draw(28);
        for k in 0..[1, 1, 1, 2, 2, 3][draw(6) as usize].min(rows - row) as u64 {
            let tooth = (first + 5 * k) % 28;
            let tooth = 10 * (tooth / 7 + 1) + tooth % 7 + 1;
            let placed = start.plus(draw(6000) as i32);
            let seen = placed.plus(200 + draw(500) as i32);
            let (material, build) =
                [("zirconia_3y", "layered"), ("lithium_disilicate", "monolithic"), ("metal_ceramic", "layered")]
                    [draw(3) as usize];
            let laboratory = ["North", "Quay", "Mill", "East", "West"][draw(5) as usize];
            let event = match draw(16) {
                0 => format!("loss_of_retention,{seen},put_back"),
                1 => format!("veneer_chip,{seen},polished"),
                _ => ",,".to_owned(),
            };
            writeln!(text, "P{patient},{tooth},{placed},{material},{build},{laboratory},{seen},{event}").unwrap();
            row += 1;
        }
    }
    text
}

/// Processor seconds of this process, all threads.
fn processor() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap();
    let fields: Vec<&str> = text.rsplit(')').next().unwrap().split_whitespace().collect();
    (fields[11].parse::<f64>().unwrap() + fields[12].parse::<f64>().unwrap()) / 100.0
}

fn timed<T>(what: &str, work: impl FnOnce() -> T) -> T {
    let (start, before) = (Instant::now(), processor());
    let out = work();
    println!("{what:>42}  {:>8.2} s wall  {:>8.2} s processor", start.elapsed().as_secs_f64(), processor() - before);
    out
}

fn take(keeper: &mut Keeper, text: &str, layout: &Layout, today: Day, what: &str) -> Taken {
    let criteria = Criteria::shipped().unwrap();
    let rules = Rules { criteria: &criteria, today };
    let author = Author { who: "bench".into(), at_ms: 0 };
    let import = timed(&format!("{what}: table read"), || Import::of_text("bench.csv", text, layout, today).unwrap());
    let mut work = Work { store: keeper, author: &author, rules };
    timed(&format!("{what}: checked and written"), || import.take(&mut work, false, &NoProgress).unwrap())
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let rows = words.first().and_then(|w| w.parse::<f64>().ok()).unwrap_or(1e5) as usize;
    let folder = std::env::temp_dir().join(format!("register-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let file = folder.join("register.db");
    let place = words.get(1).map_or(Place::File(file.clone()), |address| Place::parse(address));
    let today = Day::new(2026, 11, 26).unwrap();
    let layout = Layout::parse("layout.toml", LAYOUT).unwrap();
    let text = table(rows);
    println!("{rows} rows, {:.0} MB, into {place}", text.len() as f64 / 1e6);
    let mut keeper = Keeper::create(&place, None).unwrap();
    let first = take(&mut keeper, &text, &layout, today, "first");
    println!("{:>42}  {} records added, {} rows refused", "", first.added, first.refused.len());
    let again = take(&mut keeper, &text, &layout, today, "again");
    assert_eq!((again.added, again.refused.len()), (0, first.refused.len()), "a second import changed something");
    for by in [Grouping::All, Grouping::Laboratory, Grouping::Material] {
        let question = Question { endpoint: Endpoint::Survival, by, only: Vec::new(), seen_since: today.plus(-730) };
        let found = timed(&format!("audit by {}", by.word()), || audit(&mut keeper, &question).unwrap());
        let (ends, sums) = (keeper.ends(&question).unwrap(), keeper.clusters(&question).unwrap());
        let bytes: usize = ends.iter().map(|e| format!("{e:?}").len()).sum::<usize>();
        println!(
            "{:>42}  {} groups; {} counts came back ({bytes} bytes as text) and {} sums",
            "",
            found.len(),
            ends.len(),
            sums.len()
        );
    }
    timed("try-ins by day", || keeper.try_in_counts().unwrap());
    timed("cohorts", || keeper.cohorts().unwrap());
    timed("arms", || keeper.arm_counts().unwrap());
    timed("overdue", || keeper.due(today.plus(-730), 50).unwrap());
    drop(keeper);
    let _ = std::fs::remove_dir_all(&folder);
}
