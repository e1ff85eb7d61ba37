//! What a record may not say: checks against the rest of the chart and against today, before anything is written.

use crate::chart::{Chart, Held};
use crate::criteria::Criteria;
use crate::day::Day;
use crate::record::{Event, Patient, Recall, Record, Restoration, TryIn};
use crate::words::{EventKind, Fit};
use answer::{Issue, Place};
use catalogue::words::Construct;

/// Longest pseudonym or key.
const LONGEST_KEY: usize = 64;
/// Minutes of adjustment up to which a try-in counts as fitted at once.
pub const ADJUSTED_MINUTES: f64 = 2.0;

/// Everything wrong with laying a record into a chart; empty when it may be written.
pub fn refusals(chart: &Chart, record: &Record, criteria: &Criteria, today: Day) -> Vec<Issue> {
    let mut check = Check { kind: record.kind(), key: record.key().to_owned(), today, issues: Vec::new() };
    check.key();
    match record {
        Record::Patient(p) => check.patient(chart, p),
        Record::Restoration(r) => check.restoration(chart, r),
        Record::TryIn(t) => {
            if let Some(held) = check.held(chart, &t.restoration) {
                check.try_in(held, t);
            }
        }
        Record::Recall(r) => {
            if let Some(held) = check.held(chart, &r.restoration) {
                check.recall(chart, held, r, criteria);
            }
        }
        Record::Event(e) => {
            if let Some(held) = check.held(chart, &e.restoration) {
                check.event(chart, held, e);
            }
        }
    }
    check.issues
}

struct Check {
    kind: &'static str,
    key: String,
    today: Day,
    issues: Vec<Issue>,
}

impl Check {
    fn refuse(&mut self, field: &str, found: impl Into<String>, expected: impl Into<String>, remedy: &str) {
        let place = Place { field: format!("{} `{}`, {field}", self.kind, self.key), ..Place::default() };
        self.issues.push(Issue::error(place, found, expected, remedy));
    }

    fn key(&mut self) {
        let fine = !self.key.is_empty()
            && self.key.chars().count() <= LONGEST_KEY
            && !self.key.chars().any(|c| c.is_whitespace() || c.is_control());
        if !fine {
            let key = self.key.clone();
            self.refuse("key", format!("`{key}`"), "1 to 64 characters without blanks", "give it a short code");
        }
    }

    fn held<'c>(&mut self, chart: &'c Chart, key: &str) -> Option<&'c Held> {
        let held = chart.held(key);
        if held.is_none() {
            let near = answer::nearest_name(key, chart.restorations.iter().map(|h| h.restoration.value.key.as_str()));
            let remedy = near.map_or("enter the restoration first".to_owned(), |n| format!("did you mean `{n}`?"));
            self.refuse("restoration", format!("no restoration `{key}`"), "one of this patient", &remedy);
        }
        held
    }

    fn not_future(&mut self, field: &str, day: Day) {
        if day > self.today {
            let today = self.today;
            self.refuse(field, format!("{day} lies in the future"), format!("a day up to {today}"), "correct the year");
        }
    }

    fn in_order(&mut self, field: &str, earlier: (&str, Option<Day>), later: Option<Day>) {
        if let (Some(before), Some(after)) = (earlier.1, later)
            && after < before
        {
            self.refuse(
                field,
                format!("{after} lies before {} on {before}", earlier.0),
                format!("a day from {before} on"),
                "correct one of the two days",
            );
        }
    }

    fn while_alive(&mut self, field: &str, chart: &Chart, day: Day) {
        if let Some(died) = chart.patient.value.died.filter(|d| day > *d) {
            self.refuse(
                field,
                format!("{day} lies after the patient's death on {died}"),
                format!("a day up to {died}"),
                "correct one of the two days",
            );
        }
    }

    fn patient(&mut self, chart: &Chart, p: &Patient) {
        if !p.code.bytes().any(|b| b.is_ascii_digit()) {
            self.refuse(
                "code",
                format!("`{}` might be a name", p.code),
                "a pseudonym with at least one digit, e.g. P0412",
                "make up a code and keep the list of names on paper",
            );
        }
        if let Some(year) = p.birth_year.filter(|y| !(1890..=self.today.year()).contains(y)) {
            let this_year = self.today.year();
            self.refuse("birth_year", year.to_string(), format!("1890 to {this_year}"), "correct the year");
        }
        for (field, day) in [("died", p.died), ("left", p.left)] {
            if let Some(day) = day {
                self.not_future(field, day);
            }
        }
        let Some(died) = p.died else { return };
        for held in &chart.restorations {
            let key = &held.restoration.value.key;
            let days = held
                .recalls
                .iter()
                .map(|r| ("a recall", r.value.day))
                .chain(held.events.iter().map(|e| ("an event", e.value.day())))
                .chain(held.restoration.value.placed.map(|d| ("the placing", d)));
            if let Some((what, day)) = days.filter(|(_, d)| *d > died).max_by_key(|(_, d)| *d) {
                self.refuse(
                    "died",
                    format!("{died}, but {what} of `{key}` is of {day}"),
                    format!("a day from {day} on"),
                    "correct one of the two days",
                );
            }
        }
    }

    fn restoration(&mut self, chart: &Chart, r: &Restoration) {
        self.teeth(r);
        for (field, day) in [("planned", r.planned), ("ordered", r.ordered), ("placed", r.placed)] {
            if let Some(day) = day {
                self.not_future(field, day);
            }
        }
        self.in_order("ordered", ("the plan", r.planned), r.ordered);
        self.in_order("placed", ("the order", r.ordered.or(r.planned)), r.placed);
        if let Some((what, value)) = r.dimensions.iter().find(|d| !(d.1.is_finite() && d.1 > 0.0 && d.1 < 1000.0)) {
            self.refuse("dimensions", format!("{what} = {value}"), "millimetres above 0", "correct the figure");
        }
        if !r.construct.is_indirect() {
            let construct = r.construct.word();
            self.refuse("construct", construct, "a restoration made outside the mouth", "take another construct");
        }
        if r.patient != chart.patient.value.code {
            self.refuse("patient", &*r.patient, &*chart.patient.value.code, "a restoration stays with its patient");
        }
        let Some(placed) = r.placed else {
            let children = chart.held(&r.key).map_or(0, |h| h.recalls.len() + h.events.len());
            if children > 0 {
                self.refuse("placed", "no day of placing", "a day: it has recalls or events", "give the day");
            }
            return;
        };
        self.while_alive("placed", chart, placed);
        if let Some(year) = chart.patient.value.birth_year.filter(|y| placed.year() < *y) {
            self.refuse("placed", format!("{placed}, before the birth"), format!("from {year} on"), "correct a year");
        }
        self.children_fit(chart, r, placed);
        self.one_on_a_tooth(chart, r, placed);
    }

    fn teeth(&mut self, r: &Restoration) {
        let mut seen = r.teeth.clone();
        seen.sort();
        seen.dedup();
        if r.teeth.is_empty() || seen.len() != r.teeth.len() || r.teeth.len() > 16 {
            let teeth = r.teeth_words();
            self.refuse("teeth", format!("`{teeth}`"), "one or more teeth, each once", "write codes such as 45.46.47");
        } else if r.teeth.iter().any(|t| t.jaw() != r.teeth[0].jaw()) {
            let teeth = r.teeth_words();
            self.refuse("teeth", teeth, "teeth of one jaw", "enter a restoration for each jaw");
        }
        let bridges = matches!(
            r.construct,
            Construct::Bridge | Construct::CantileverBridge | Construct::OneWing | Construct::TwoWings
        );
        if bridges && r.teeth.len() == 1 {
            let construct = r.construct.word();
            self.refuse("teeth", format!("one tooth for a {construct}"), "every tooth it covers", "name them all");
        }
    }

    fn children_fit(&mut self, chart: &Chart, r: &Restoration, placed: Day) {
        let Some(held) = chart.held(&r.key) else { return };
        let first = held.recalls.iter().map(|x| x.value.day).chain(held.events.iter().map(|e| e.value.day())).min();
        if let Some(first) = first.filter(|d| *d < placed) {
            self.refuse(
                "placed",
                format!("{placed}, after {first}, when it was seen"),
                "no later day",
                "correct a day",
            );
        }
        if let Some(last) = held.try_ins.iter().map(|t| t.value.day).max().filter(|d| *d > placed) {
            self.refuse("placed", format!("{placed}, before its try-in on {last}"), "no earlier day", "correct a day");
        }
    }

    fn one_on_a_tooth(&mut self, chart: &Chart, r: &Restoration, placed: Day) {
        let end = chart.held(&r.key).and_then(Held::ended_by).map(Event::day);
        for other in chart.restorations.iter().filter(|h| h.restoration.value.key != r.key) {
            let Some((from, to)) = other.in_place() else { continue };
            let overlaps = to.is_none_or(|to| placed < to) && end.is_none_or(|end| from < end);
            let shared = r.teeth.iter().find(|t| other.restoration.value.teeth.contains(t));
            if let (true, Some(tooth)) = (overlaps, shared) {
                let key = other.restoration.value.key.clone();
                self.refuse(
                    "teeth",
                    format!("tooth {tooth} carries `{key}` since {from}"),
                    "one restoration on a tooth at a time",
                    "first enter the event that ended the other one",
                );
            }
        }
    }

    fn try_in(&mut self, held: &Held, t: &TryIn) {
        self.not_future("day", t.day);
        let r = &held.restoration.value;
        self.in_order("day", ("the order", r.ordered), Some(t.day));
        if let Some(placed) = r.placed.filter(|p| t.day > *p) {
            self.refuse(
                "day",
                format!("{} lies after placing on {placed}", t.day),
                "a day up to placing",
                "correct a day",
            );
        }
        if t.fit != Fit::AtOnce && t.causes.is_empty() {
            self.refuse(
                "causes",
                format!("{} without a cause", t.fit),
                "contact, margin, colour, bite or fracture",
                "say why: laboratories are watched by it",
            );
        }
        let minutes = t.minutes.unwrap_or(if t.fit == Fit::Adjusted { ADJUSTED_MINUTES + 1.0 } else { 0.0 });
        let wrong = match t.fit {
            Fit::AtOnce => !(0.0..=ADJUSTED_MINUTES).contains(&minutes),
            Fit::Adjusted => !(minutes > ADJUSTED_MINUTES && minutes < 600.0),
            Fit::SentBack => !(0.0..600.0).contains(&minutes),
        };
        if wrong {
            self.refuse(
                "minutes",
                format!("{minutes} min, {}", t.fit),
                "up to 2 min is fitted at once, more is adjusted",
                "correct the minutes or the word",
            );
        }
    }

    fn seen_in_place(&mut self, chart: &Chart, held: &Held, field: &str, day: Day) {
        self.not_future(field, day);
        self.while_alive(field, chart, day);
        match held.restoration.value.placed {
            None => {
                self.refuse(field, format!("{day}, but it is not placed"), "a placed restoration", "place it first")
            }
            Some(placed) => self.in_order(field, ("placing", Some(placed)), Some(day)),
        }
    }

    fn recall(&mut self, chart: &Chart, held: &Held, r: &Recall, criteria: &Criteria) {
        self.seen_in_place(chart, held, "day", r.day);
        self.issues.extend(criteria.issues(r));
        if let Some(end) = held.ended_by().filter(|e| r.day > e.found) {
            let (what, found) = (end.kind, end.found);
            self.refuse(
                "day",
                format!("{} lies after its end ({what}, {found})", r.day),
                "no later day",
                "correct a day",
            );
        }
    }

    fn event(&mut self, chart: &Chart, held: &Held, e: &Event) {
        self.seen_in_place(chart, held, "found", e.found);
        if let Some(happened) = e.happened {
            self.in_order("happened", ("placing", held.restoration.value.placed), Some(happened));
            self.in_order("found", ("the event itself", Some(happened)), Some(e.found));
        }
        if e.grade.is_some_and(|g| !(1..=3).contains(&g)) || (e.grade.is_some() && e.kind != EventKind::Chip) {
            let (kind, grade) = (e.kind, e.grade.unwrap_or_default());
            self.refuse(
                "grade",
                format!("grade {grade} of {kind}"),
                "1, 2 or 3, of chips only",
                "correct or drop the grade",
            );
        }
        let on_implant = held.restoration.value.construct == Construct::ImplantCrown;
        if (e.kind.needs_implant() && !on_implant) || (e.kind.needs_tooth() && on_implant) {
            let (kind, construct) = (e.kind, held.restoration.value.construct);
            let expected =
                if on_implant { "an event of an implant's crown" } else { "an event of a tooth's restoration" };
            self.refuse(
                "kind",
                format!("{kind} of a {construct}"),
                expected,
                "take another event, or correct the construct",
            );
        }
        if e.kind == EventKind::ReplacedOther && !e.consequence.ends_it() {
            self.refuse("consequence", e.consequence.word(), "remade, removed or tooth_lost", "say how it ended");
        }
        let other_end = held.ended_by().filter(|o| o.key != e.key);
        if let Some(end) = other_end
            && (e.consequence.ends_it() || e.found > end.found)
        {
            let (what, found) = (end.kind, end.found);
            self.refuse(
                "found",
                format!("it ended on {found} already ({what})"),
                "an event before that",
                "correct a day",
            );
        }
        let later = held.recalls.iter().map(|r| r.value.day).filter(|d| *d > e.found).max();
        if let Some(later) = later.filter(|_| e.consequence.ends_it()) {
            self.refuse(
                "found",
                format!("it was seen in place on {later}, after its end on {}", e.found),
                "an end after the last recall",
                "correct a day",
            );
        }
    }
}
