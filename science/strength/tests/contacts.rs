//! Hertz contact (rows H01-H05; Johnson 1985). Six digits in the rows.
#![allow(clippy::unwrap_used, clippy::panic)]

mod rows;
use rows::{close, output};
use strength::contact::{Elastic, hertz};

#[test]
fn ball_on_flat() {
    let body = Elastic { modulus: 70_000.0, poisson: 0.22 };
    let c = hertz(200.0, 3.0, body, body).unwrap();
    close(c.radius, output("H01"), 1e-5);
    close(c.pressure, output("H02"), 1e-5);
    close(c.approach, output("H03"), 1e-5);
    close(c.rim_tension, output("H04"), 1e-5);
    let hard = Elastic { modulus: 210_000.0, poisson: 0.3 };
    let soft = Elastic { modulus: 80_000.0, poisson: 0.3 };
    close(hertz(200.0, 3.0, soft, hard).unwrap().radius, output("H05"), 1e-5);
}
