//! A day of the civil calendar, and the forms in which nations write it.
//!
//! Days are counted from 1970-01-01 (proleptic Gregorian). Day number of a date, and back: the era algorithm (400 years = 146,097 days)
//! as in Richards E.G., Mapping Time, 1998, and in common use; exact over years 1 to 9999. No clock is read here: today is always told.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Days a year, mean of the Gregorian calendar.
pub const DAYS_A_YEAR: f64 = 365.2425;

/// A day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Day(i32);

/// A text that is no day, with the form it should have.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{found}` is no day written {form}")]
pub struct NoDay {
    /// What stands there.
    pub found: String,
    /// The form expected.
    pub form: String,
}

impl Day {
    /// From the number of days since 1970-01-01.
    pub fn from_number(number: i32) -> Self {
        Self(number)
    }

    /// Days since 1970-01-01.
    pub fn number(self) -> i32 {
        self.0
    }

    /// From year, month, day; `None` when the calendar has no such day, or the year lies outside 1 to 9999.
    pub fn new(year: i32, month: u32, day: u32) -> Option<Self> {
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let longest = match month {
            2 => 28 + u32::from(leap),
            4 | 6 | 9 | 11 => 30,
            1..=12 => 31,
            _ => return None,
        };
        if !(1..=9999).contains(&year) || !(1..=longest).contains(&day) {
            return None;
        }
        let (y, m) = if month <= 2 { (year - 1, month + 9) } else { (year, month - 3) };
        let era = y.div_euclid(400);
        let of_era = y.rem_euclid(400);
        let of_year = (153 * m as i32 + 2) / 5 + day as i32 - 1;
        Some(Self(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468))
    }

    /// Year, month, day.
    pub fn parts(self) -> (i32, u32, u32) {
        let z = self.0 + 719_468;
        let era = z.div_euclid(146_097);
        let of_era = z.rem_euclid(146_097);
        let y = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * y + y / 4 - y / 100);
        let m = (5 * of_year + 2) / 153;
        let day = of_year - (153 * m + 2) / 5 + 1;
        let month = if m < 10 { m + 3 } else { m - 9 };
        (y + era * 400 + i32::from(month <= 2), month as u32, day as u32)
    }

    /// Year.
    pub fn year(self) -> i32 {
        self.parts().0
    }

    /// Months since the year 0: the same for all days of one month.
    pub fn month_number(self) -> i32 {
        let (year, month, _) = self.parts();
        year * 12 + month as i32 - 1
    }

    /// First day of a month by its number.
    pub fn of_month(number: i32) -> Self {
        Self::new(number.div_euclid(12), number.rem_euclid(12) as u32 + 1, 1).unwrap_or(Self(0))
    }

    /// Days later (earlier when negative).
    #[must_use]
    pub fn plus(self, days: i32) -> Self {
        Self(self.0.saturating_add(days))
    }

    /// Days from another day to this one.
    pub fn since(self, other: Self) -> i32 {
        self.0 - other.0
    }

    /// From `2026-11-25`.
    ///
    /// # Errors
    /// [`NoDay`].
    pub fn parse(text: &str) -> Result<Self, NoDay> {
        DayForm::iso().read(text, 9999)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (y, m, d) = self.parts();
        write!(f, "{y:04}-{m:02}-{d:02}")
    }
}

impl TryFrom<String> for Day {
    type Error = NoDay;
    fn try_from(text: String) -> Result<Self, NoDay> {
        Self::parse(&text)
    }
}

impl From<Day> for String {
    fn from(day: Day) -> Self {
        day.to_string()
    }
}

/// How days are written in a file: `D`, `M`, `Y` in their order with what stands between them (`DD.MM.YYYY`, `M/D/YY`), or `serial`,
/// the day number of spreadsheets (1 = 1900-01-01, with their leap day 1900).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayForm {
    words: String,
    parts: Vec<(char, usize)>,
    between: Vec<char>,
}

impl DayForm {
    /// `YYYY-MM-DD` (ISO 8601).
    pub fn iso() -> Self {
        Self { words: "YYYY-MM-DD".into(), parts: vec![('Y', 4), ('M', 2), ('D', 2)], between: vec!['-', '-'] }
    }

    /// From its words; `None` when day, month and year do not each stand there once.
    pub fn parse(words: &str) -> Option<Self> {
        let words = words.trim();
        if words.eq_ignore_ascii_case("serial") {
            return Some(Self { words: "serial".into(), parts: Vec::new(), between: Vec::new() });
        }
        let (mut parts, mut between): (Vec<(char, usize)>, Vec<char>) = (Vec::new(), Vec::new());
        let mut previous = None;
        for c in words.chars() {
            let upper = c.to_ascii_uppercase();
            match upper {
                'D' | 'M' | 'Y' if previous == Some(upper) => parts.last_mut()?.1 += 1,
                'D' | 'M' | 'Y' => parts.push((upper, 1)),
                _ if parts.is_empty() => return None,
                _ => between.push(c),
            }
            previous = Some(upper);
        }
        let once = |letter| parts.iter().filter(|p| p.0 == letter).count() == 1;
        let separated = between.len() == 2 || (between.is_empty() && parts.iter().map(|p| p.1).sum::<usize>() == 8);
        (parts.len() == 3 && once('D') && once('M') && once('Y') && separated).then(|| Self {
            words: words.to_owned(),
            parts,
            between,
        })
    }

    /// The form in words.
    pub fn words(&self) -> &str {
        &self.words
    }

    /// Reads a day. A year of two digits is the latest one not after `this_year`.
    ///
    /// # Errors
    /// [`NoDay`].
    pub fn read(&self, text: &str, this_year: i32) -> Result<Day, NoDay> {
        let refused = || NoDay { found: text.chars().take(40).collect(), form: self.words.clone() };
        let text = text.trim();
        // A time of day behind the day is passed over.
        let day = text.split(['T', ' ']).next().unwrap_or(text);
        let day = if self.between.contains(&' ') { text } else { day };
        let whole = |s: &str| s.parse::<u32>().ok().filter(|_| s.len() <= 6 && s.bytes().all(|b| b.is_ascii_digit()));
        if self.parts.is_empty() {
            let number = whole(day).filter(|n| (61..=2_958_465).contains(n)).ok_or_else(refused)?;
            return Ok(Day(number as i32 - 25_569));
        }
        let mut found = [None; 3];
        let mut rest = day;
        for (i, (letter, width)) in self.parts.iter().enumerate() {
            let (piece, after) = match self.between.get(i) {
                Some(mark) => rest.split_once(*mark).ok_or_else(refused)?,
                None if self.between.is_empty() => rest.split_at_checked(*width).ok_or_else(refused)?,
                None => (rest, ""),
            };
            let fits = if *letter == 'Y' { piece.len() == (*width).max(2) } else { (1..=2).contains(&piece.len()) };
            let value = whole(piece).filter(|_| fits).ok_or_else(refused)?;
            let place = match letter {
                'Y' => 0,
                'M' => 1,
                _ => 2,
            };
            found[place] = Some((value, piece.len()));
            rest = after;
        }
        let [Some((year, digits)), Some((month, _)), Some((day, _))] = found else { return Err(refused()) };
        let mut year = year as i32;
        if digits <= 2 {
            year += this_year.div_euclid(100) * 100;
            if year > this_year {
                year -= 100;
            }
        }
        if rest.is_empty() { Day::new(year, month, day).ok_or_else(refused) } else { Err(refused()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn known_days_of_the_calendar() {
        // Day numbers by the definition of the epoch and of leap years; 2000 is one, 1900 is none.
        assert_eq!(Day::new(1970, 1, 1).map(Day::number), Some(0));
        assert_eq!(Day::new(2000, 3, 1).map(Day::number), Some(11_017));
        assert_eq!(Day::new(1900, 2, 29), None);
        assert_eq!(Day::new(2000, 2, 29).map(|d| d.plus(1).to_string()), Some("2000-03-01".into()));
        assert_eq!(Day::new(2026, 13, 1), None);
    }

    #[test]
    fn national_forms_are_read_as_their_nations_mean_them() {
        let read = |form: &str, text: &str| DayForm::parse(form).unwrap().read(text, 2026).map(|d| d.to_string());
        assert_eq!(read("DD.MM.YYYY", "3.11.2021").unwrap(), "2021-11-03");
        assert_eq!(read("MM/DD/YYYY", "11/03/2021").unwrap(), "2021-11-03");
        assert_eq!(read("DD/MM/YYYY", "03/11/2021").unwrap(), "2021-11-03");
        assert!(DayForm::parse("YYYY年MM月DD日").is_none());
        assert_eq!(read("YYYYMMDD", "20211103").unwrap(), "2021-11-03");
        assert_eq!(read("D-M-YY", "3-11-98").unwrap(), "1998-11-03");
        assert_eq!(read("D-M-YY", "3-11-26").unwrap(), "2026-11-03");
        assert_eq!(read("serial", "44503").unwrap(), "2021-11-03");
        assert_eq!(read("YYYY-MM-DD", "2021-11-03T10:15:00").unwrap(), "2021-11-03");
        for wrong in ["31.02.2021", "2021-11-03", "3.11.21", "", "3.11", "3.11.2021.4", "a.b.cdef"] {
            assert!(read("DD.MM.YYYY", wrong).is_err(), "{wrong}");
        }
        assert!(DayForm::parse("DD.MM").is_none() && DayForm::parse("day").is_none());
    }

    proptest! {
        #[test]
        fn every_day_number_is_found_again(number in -700_000i32..2_900_000) {
            let (y, m, d) = Day(number).parts();
            prop_assert_eq!(Day::new(y, m, d), Some(Day(number)));
            prop_assert_eq!(Day::parse(&Day(number).to_string()), Ok(Day(number)));
        }

        #[test]
        fn any_text_and_form_survives_garbage(form in "\\PC{0,12}", text in "\\PC{0,20}") {
            if let Some(form) = DayForm::parse(&form) {
                let _ = form.read(&text, 2026);
            }
        }
    }
}
