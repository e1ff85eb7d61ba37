//! What a printed text promises: same bytes, tags, alternative texts, archivable, text that can be read out, nothing from outside.

#![allow(clippy::unwrap_used, clippy::panic)]

use print::{FORM, PrintError, SCALE, pdf, png};
use std::io::Write;
use std::process::{Command, Stdio};

/// The head that papers begin with.
const HEAD: &str = include_str!("../../papers/src/typeset.typ");

fn text(body: &str) -> String {
    format!(
        "{HEAD}#show: paper.with(title: \"A title\", lang: \"de\", region: none, dir: ltr, large: true, across: false, date: datetime(year: 2026, month: 3, \
         day: 19))\n{body}"
    )
}

/// Every kind of block once.
fn whole() -> String {
    text(concat!(
        "#lead[#\"What comes first\"]\n#part(\"First part\", \"first\")\n#para[#\"Words \"#strong(\"strong\")#quiet(\" quiet\")]\n",
        "#list([#\"one\"], [#\"two\"])\n#enum([#\"one\"], [#\"two\"])\n#heading(level: 3, \"Within\")\n",
        "#facts(\n(\"Name\", [#\"Value\"]),\n)\n#blank([#\"Write here\"], 2)\n#note(3, \"Caution\", [#\"careful\"])\n",
        "#pictured(\"<svg xmlns=\\\"http://www.w3.org/2000/svg\\\" viewBox=\\\"0 0 20 20\\\" width=\\\"20\\\" height=\\\"20\\\"><rect x=\\\"1\\\" \
         y=\\\"1\\\" width=\\\"9\\\" height=\\\"9\\\"/></svg>\", \"a black square\", 312, \"One square\")\n",
        "#caption(\"Caption\")\n#rows((\"Way\", \"Lost\",), auto, (\n(false, ([#\"a crown\"], false, false), ([#\"13 of 100\"], false, false), ),\n))\n",
        "#foot[\n#para[#link(label(\"first\"), \"to the first part\")]\n]\n",
    ))
}

fn contains(bytes: &[u8], part: &str) -> bool {
    bytes.windows(part.len()).any(|w| w == part.as_bytes())
}

/// Output of a reader of PDFs, where this machine has one.
fn read_by(program: &str, arguments: &[&str], bytes: &[u8]) -> Option<String> {
    let mut child = Command::new(program)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .ok()?;
    child.stdin.take()?.write_all(bytes).ok()?;
    Some(String::from_utf8_lossy(&child.wait_with_output().ok()?.stdout).into_owned())
}

#[test]
fn the_same_text_gives_the_same_bytes() {
    let first = pdf(&whole()).unwrap();
    let other = pdf(&text("#para[#\"something else\"]")).unwrap();
    assert_ne!(first, other);
    let again = std::thread::spawn(|| pdf(&whole()).unwrap()).join().unwrap();
    assert!(first == again, "the bytes differ");
}

/// ISO 14289-1 (PDF/UA-1) and ISO 19005-2 (PDF/A-2a) name themselves in the metadata, which an archivable file holds uncompressed.
#[test]
fn it_names_both_standards_and_the_date_it_was_given() {
    let bytes = pdf(&whole()).unwrap();
    assert!(bytes.starts_with(b"%PDF-1.7"));
    for part in
        ["<pdfuaid:part>1</pdfuaid:part>", "<pdfaid:part>2</pdfaid:part>", "<pdfaid:conformance>A</pdfaid:conformance>"]
    {
        assert!(contains(&bytes, part), "{part} is missing");
    }
    assert!(contains(&bytes, "2026-03-19"), "the date given is missing");
}

#[test]
fn headings_lists_tables_and_figures_are_tagged() {
    let bytes = pdf(&whole()).unwrap();
    let Some(tree) = read_by("pdfinfo", &["-struct-text", "-"], &bytes) else {
        println!("pdfinfo is not here: tags are not looked at");
        return;
    };
    for tag in ["H1", "H2", "H3", "P", "Table", "TH", "TD", "L", "LI", "Figure", "Caption", "Link"] {
        assert!(
            tree.lines().any(|l| l.trim_start().split([' ', ':']).next() == Some(tag)),
            "{tag:?} is not among the tags:\n{tree}"
        );
    }
    // The head of the row is a head, so two heads of columns make three.
    assert_eq!(tree.lines().filter(|l| l.trim_start().starts_with("TH")).count(), 3, "{tree}");
}

#[test]
fn words_can_be_read_out() {
    let Some(words) = read_by("pdftotext", &["-", "-"], &pdf(&whole()).unwrap()) else {
        println!("pdftotext is not here: text is not read out");
        return;
    };
    for said in
        ["A title", "What comes first", "strong", "Caution: careful", "One square", "13 of 100", "to the first part"]
    {
        assert!(words.contains(said), "{said:?} is not in {words:?}");
    }
}

/// What a person wrote stands in quoted strings; whatever it is, it is shown and not obeyed.
#[test]
fn words_of_any_kind_are_shown_as_they_are() {
    let hostile = [
        "#read(\\\"/etc/passwd\\\") #import \\\"@preview/x:1.0.0\\\" $x$ *b* _i_ `c` <l> @r [x] // c /* d */",
        "</svg><script>alert(1)</script>",
        "\u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{645}\u{631}\u{62d}\u{628}\u{627}",
        "\u{1f600}\u{fe0f}\u{200d}\u{1f9b7} \u{e000} \u{10fffd} \u{fffd} \u{0e01}\u{4e2d}",
        &"many words ".repeat(909),
        &"wwwwwwwwwwwwwwwwwwwwwwwwwwwwww\u{200b}".repeat(333),
    ];
    for words in hostile {
        let bytes = pdf(&text(&format!(
            "#part(\"{words}\", \"x\")\n#para[#\"{words}\"]\n#rows((\"a\", \"b\",), auto, ((false, ([#\"{words}\"], true, false), ([#\"{words}\"], true, false), ),))"
        )));
        let bytes = bytes.unwrap_or_else(|e| panic!("{words:.60}: {e}"));
        if let Some(read) = read_by("pdftotext", &["-", "-"], &bytes).filter(|_| words.contains("passwd")) {
            assert!(read.contains("$x$ *b*") && read.contains("/etc/passwd") && !read.contains("root:"), "{read}");
        }
        if let Some(read) = read_by("pdftotext", &["-", "-"], &bytes).filter(|_| words.contains('\u{1f600}')) {
            assert!(read.contains("U+1F600") && read.contains("U+E000"), "{read}");
        }
    }
}

#[test]
fn nothing_is_read_from_outside() {
    for body in [
        "#read(\"/etc/hostname\")",
        "#image(\"x.png\", alt: \"x\")",
        "#import \"@preview/example:0.1.0\"",
        "#datetime.today()",
    ] {
        let refused = pdf(&text(body)).unwrap_err();
        assert!(matches!(refused, PrintError::Refused { line: Some(_), .. }), "{body}: {refused}");
    }
}

#[test]
fn another_form_and_a_broken_text_are_refused_in_words() {
    assert!(matches!(pdf("// bisque document text 0\n"), Err(PrintError::OtherForm(_))));
    assert!(matches!(pdf(""), Err(PrintError::OtherForm(_))));
    assert!(pdf("x").unwrap_err().to_string().contains(FORM));
    let refused = pdf(&text("#nothing-of-that-name")).unwrap_err().to_string();
    assert!(refused.starts_with(&format!("line {}:", HEAD.lines().count() + 2)), "{refused}");
}

/// A picture without a description is refused: no figure without alternative text.
#[test]
fn a_figure_without_alternative_text_is_refused() {
    let body = "#figure(image(bytes(\"<svg xmlns=\\\"http://www.w3.org/2000/svg\\\" width=\\\"9\\\" height=\\\"9\\\"/>\"), format: \"svg\"))";
    assert!(pdf(&text(body)).is_err());
}

/// Cut, doubled and scrambled texts are refused or printed, never a panic.
#[test]
fn printing_survives_garbage() {
    let whole: Vec<char> = text(
        "#para[#\"Words\"]\n#rows((\"a\", \"b\",), auto, ((false, ([#\"c\"], false, false), ([#\"d\"], false, false), ),))",
    )
    .chars()
    .collect();
    let mut state = 0x9e37_79b9_u64;
    let mut random = |below: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % below as u64) as usize
    };
    for _ in 0..24 {
        let mut broken = whole.clone();
        for _ in 0..=random(6) {
            let (from, to) = (FORM.len() + 1 + random(broken.len() - FORM.len() - 1), random(12));
            let end = (from + to).min(broken.len());
            match random(3) {
                0 => drop(broken.drain(from..end)),
                1 => broken[from..end].reverse(),
                _ => broken.insert(from, ['"', '\\', '#', '[', '(', '$', '\u{0}', '\u{1f600}'][random(8)]),
            }
        }
        let _ = pdf(&broken.into_iter().collect::<String>());
    }
}

/// A slide begins a page, and its picture fills it without running over.
#[test]
fn sections_of_a_sheet_across_begin_a_page_each() {
    let picture = "#pictured(\"<svg xmlns=\\\"http://www.w3.org/2000/svg\\\" viewBox=\\\"0 0 20 40\\\" width=\\\"20\\\" height=\\\"40\\\"><rect x=\\\"1\\\" \
                   y=\\\"1\\\" width=\\\"9\\\" height=\\\"39\\\"/></svg>\", \"a bar\", 312, \"\")\n#para[#\"Sources\"]\n";
    let body: String = (1..=3).map(|i| format!("#part(\"Slide {i}\", \"s{i}\")\n{picture}")).collect();
    let text = text(&format!("#lead[#\"First\"]\n{body}")).replace("across: false", "across: true");
    let bytes = pdf(&text).unwrap();
    if let Some(told) = read_by("pdfinfo", &["-"], &bytes) {
        assert!(told.lines().any(|l| l.starts_with("Pages:") && l.ends_with(" 4")), "{told}");
        assert!(told.contains("841.89 x 595.2"), "{told}");
    }
}

#[test]
fn a_picture_becomes_the_same_pixels_twice() {
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 40 20\" width=\"40\" height=\"20\" font-family=\"Liberation Sans, Arial, \
               Helvetica, sans-serif\"><rect width=\"40\" height=\"20\" fill=\"#fff\"/><text x=\"2\" y=\"14\" font-size=\"12\">\u{394}E 1</text></svg>";
    let bytes = png(svg).unwrap();
    assert!(bytes.starts_with(b"\x89PNG\r\n"));
    let side = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
    assert_eq!([side(16), side(20)], [(40.0 * SCALE) as u32, (20.0 * SCALE) as u32]);
    assert!(bytes == png(svg).unwrap(), "the bytes differ");
    // The words are drawn: without them there are other pixels.
    assert!(bytes != png(&svg.replace("\u{394}E 1", "")).unwrap());
}

#[test]
fn nothing_beside_a_picture_is_opened_and_what_is_none_is_refused() {
    let with = |inside: &str| {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"20\" height=\"20\"><rect width=\"20\" height=\"20\" fill=\"#fff\"/>{inside}</svg>"
        )
    };
    let bare = png(&with("")).unwrap();
    for link in ["/etc/hostname", "file:///etc/hostname", "data:image/png;base64,AAAA"] {
        assert!(png(&with(&format!("<image width=\"9\" height=\"9\" href=\"{link}\"/>"))).unwrap() == bare, "{link}");
    }
    for none in ["", "no picture", "<svg", "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1e9\" height=\"1e9\"/>"] {
        assert!(matches!(png(none), Err(PrintError::Picture(_))), "{none:?}");
    }
}
