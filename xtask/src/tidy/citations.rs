//! Citations are quoted as they are: their journals' names and identifiers are taken out before words are looked at.

/// Journals' names, as abbreviated, that hold words of the trade or American spelling; longer ones before those they contain.
const JOURNALS: &[&str] = &[
    "Dent Mater J",
    "Dent Mater",
    "J Dent Res",
    "J Prosthet Dent",
    "J Esthet Restor Dent",
    "Eur J Oral Sci",
    "Int Dent J",
    "Br Dent J",
    "Acta Biomater Odontol Scand",
    "Clin Oral Implants Res",
    "Clin Oral Investig",
    "J Oral Rehabil",
    "Int J Periodontics Restorative Dent",
    "Int J Prosthodont",
    "J Prosthodont Res",
    "J Prosthodont",
    "J Adv Prosthodont",
    "J Indian Prosthodont Soc",
    "J Am Dent Assoc",
    "J Dent",
    "Oper Dent",
    "Color Res Appl",
    "J Mech Behav Biomed Mater",
];

/// The text without journals' names, web addresses and digital object identifiers.
pub fn without(text: &str) -> String {
    let plain = JOURNALS.iter().fold(text.to_owned(), |text, journal| text.replace(journal, " "));
    let is_address = |word: &&str| !(word.contains("://") || (word.contains("10.") && word.contains('/')));
    plain.split_whitespace().filter(is_address).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn journals_and_identifiers_are_taken_out_and_words_stay() {
        assert_eq!(
            without("Author 2024, Dent Mater 3:1, doi 10.1016/j.dental.2024.07.013, of enamel"),
            "Author 2024, 3:1, doi of enamel"
        );
        assert_eq!(without("Color Res Appl and https://example.org/color"), "and");
    }
}
