//! Reads the reference tables (quoted cells allowed).

/// Rows of a table below its header.
pub fn rows(text: &str) -> Vec<Vec<String>> {
    text.lines().skip(1).filter(|l| !l.is_empty()).map(cells).collect()
}

/// Header of a table.
pub fn header(text: &str) -> Vec<String> {
    cells(text.lines().next().unwrap())
}

fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            c => cells.last_mut().unwrap().push(c),
        }
    }
    cells
}

/// `name=value;...` as number.
pub fn input(inputs: &str, name: &str) -> f64 {
    inputs.split(';').find_map(|p| p.strip_prefix(&format!("{name}="))).unwrap().parse().unwrap()
}
