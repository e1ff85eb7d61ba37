//! Files of surfaces: every format comes back as it went, liars and bombs are found out, flaws are told, mending says what it did, and no bytes
//! bring a reader down.
#![allow(clippy::unwrap_used, reason = "tests")]

use proptest::prelude::*;
use shape::*;

fn limits() -> ReadLimits {
    ReadLimits::default()
}

fn block() -> Surface {
    Surface::of(&Block::new([0.0; 3], [4.0, 3.0, 2.0], 0.0).unwrap(), 0.5).unwrap()
}

/// PLY with the given coding, from the same surface.
fn ply(s: &Surface, big: bool) -> Vec<u8> {
    let coding = if big { "binary_big_endian" } else { "binary_little_endian" };
    let mut out = format!(
        "ply\r\nformat {coding} 1.0\r\nelement vertex {}\r\nproperty uchar red\r\nproperty float x\r\nproperty double y\r\nproperty float z\r\nelement face {}\r\nproperty list uchar uint vertex_index\r\nproperty short flags\r\nend_header\r\n",
        s.points().len(),
        s.facets().len()
    )
    .into_bytes();
    let mut put = |little: &[u8]| {
        if big { out.extend(little.iter().rev()) } else { out.extend(little) }
    };
    for p in s.points() {
        put(&[7]);
        put(&(p[0] as f32).to_le_bytes());
        put(&p[1].to_le_bytes());
        put(&(p[2] as f32).to_le_bytes());
    }
    for f in s.facets() {
        put(&[3]);
        f.iter().for_each(|v| put(&v.to_le_bytes()));
        put(&(-1i16).to_le_bytes());
    }
    out
}

fn ply_text(s: &Surface) -> String {
    let mut out = format!(
        "ply\nformat ascii 1.0\ncomment made here\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        s.points().len(),
        s.facets().len()
    );
    s.points().iter().for_each(|p| out += &format!("{} {} {}\n", p[0], p[1], p[2]));
    s.facets().iter().for_each(|f| out += &format!("3 {} {} {}\n", f[0], f[1], f[2]));
    out
}

fn stl_text(s: &Surface) -> String {
    let mut out = String::from("solid vertex of a name\n");
    for f in 0..s.facets().len() as u32 {
        out += "  facet normal 0 0 0\n    outer loop\n";
        s.corners(f).iter().for_each(|p| out += &format!("      vertex {:e} {} {}\n", p[0], p[1], p[2]));
        out += "    endloop\n  endfacet\n";
    }
    out + "endsolid\n"
}

fn obj(s: &Surface) -> String {
    let mut out = String::from("# made here\no body\n");
    s.points().iter().for_each(|p| out += &format!("v {} {} {} 0.5 0.5 0.5\n", p[0], p[1], p[2]));
    s.facets().iter().for_each(|f| out += &format!("f {}//1 {}//1 {}//1\n", f[0] + 1, f[1] + 1, f[2] + 1));
    out
}

#[test]
fn every_format_is_told_by_its_content_and_comes_back_whole() {
    let s = block();
    let old_mac = stl_text(&s).replace('\n', "\r");
    let marked = [b"\xEF\xBB\xBF".as_slice(), obj(&s).as_bytes()].concat();
    let mut lying = s.to_stl();
    lying[..20].copy_from_slice(b"solid facet vertex 1");
    let cases: Vec<(&str, Vec<u8>, Format)> = vec![
        ("binary STL", s.to_stl(), Format::StlBinary),
        ("binary STL that begins with `solid`", lying, Format::StlBinary),
        ("text STL", stl_text(&s).into_bytes(), Format::StlText),
        ("text STL with carriage returns", old_mac.into_bytes(), Format::StlText),
        ("PLY", s.to_ply(), Format::Ply),
        ("PLY, little-endian, other properties", ply(&s, false), Format::Ply),
        ("PLY, big-endian", ply(&s, true), Format::Ply),
        ("PLY, text", ply_text(&s).into_bytes(), Format::Ply),
        ("OBJ", obj(&s).into_bytes(), Format::Obj),
        ("OBJ after a byte order mark", marked, Format::Obj),
        ("3MF", s.to_3mf(), Format::ThreeMf),
    ];
    for (what, bytes, format) in cases {
        // The name lies on purpose: content decides.
        let r = read(&bytes, "surface.xyz", &limits()).unwrap_or_else(|e| panic!("{what}: {e}"));
        assert_eq!(r.format, format, "{what}");
        assert!(
            r.flaws.is_closed() && r.flaws.shells == 1 && r.issues.is_empty(),
            "{what}: {:?} {:?}",
            r.flaws,
            r.issues
        );
        assert_eq!((r.mesh.points.len(), r.mesh.facets.len()), (s.points().len(), s.facets().len()), "{what}");
        let back = Surface::from_mesh(r.mesh).unwrap();
        // 32-bit places: six digits.
        assert!(
            (back.volume() / s.volume() - 1.0).abs() < 1e-6 && (back.area() / s.area() - 1.0).abs() < 1e-6,
            "{what}"
        );
    }
}

#[test]
fn files_cut_short_or_with_numbers_that_are_none_are_refused_with_the_place() {
    let s = block();
    for (what, bytes) in [
        ("STL", s.to_stl()),
        ("PLY", s.to_ply()),
        ("big-endian PLY", ply(&s, true)),
        ("text PLY", ply_text(&s).into_bytes()),
        ("text STL", stl_text(&s).into_bytes()),
        ("3MF", s.to_3mf()),
    ] {
        for share in [0.3, 0.7, 0.97] {
            let cut = &bytes[..(bytes.len() as f64 * share) as usize];
            match read(cut, "x", &limits()) {
                Err(_) => {}
                // Text that happens to end after a facet cannot be told from a whole one but by its last word: that is said.
                Ok(r) => assert!(
                    what == "text STL" && r.issues.iter().any(|i| i.found.contains("endsolid")),
                    "{what} {share}"
                ),
            }
        }
    }
    let mut bad = s.to_stl();
    bad[84 + 50 * 3 + 12..84 + 50 * 3 + 16].copy_from_slice(&f32::NAN.to_le_bytes());
    let told = read(&bad, "x.stl", &limits()).unwrap_err().issue("x.stl").to_string();
    assert!(told.contains("facet 3") && told.contains("byte 246"), "{told}");
    let told = read(stl_text(&s).replacen("e0 ", "e0 nan ", 1).as_bytes(), "x.stl", &limits()).unwrap_err();
    assert!(told.issue("x.stl").place.line == Some(4), "{told}");
    for nothing in [
        b"".as_slice(),
        b"hello",
        b"solid\nendsolid\n",
        b"v 0 0 0\n",
        b"ply\nformat ascii 1.0\nelement vertex 0\nproperty float x\nproperty float y\nproperty float z\nend_header\n",
    ] {
        assert!(read(nothing, "x", &limits()).is_err());
    }
    let other = "[[body]]\nshape = \"ball\"\nradius = 1.0\n".repeat(4);
    assert_eq!(read(other.as_bytes(), "x", &limits()), Err(ReadError::Unknown));
}

#[test]
fn a_count_that_lies_is_said_and_limits_hold() {
    let mut s = block().to_stl();
    s[80..84].copy_from_slice(&0u32.to_le_bytes());
    assert!(read(&s, "x", &limits()).unwrap().issues.iter().any(|i| i.found.contains("names 0 facets")));
    let few = ReadLimits { facets: 10, ..limits() };
    let whole = block();
    for bytes in
        [whole.to_stl(), whole.to_ply(), whole.to_3mf(), obj(&whole).into_bytes(), stl_text(&whole).into_bytes()]
    {
        assert!(matches!(read(&bytes, "x", &few), Err(ReadError::TooMuch { .. })));
        assert!(matches!(read(&bytes, "x", &ReadLimits { bytes: 100, ..limits() }), Err(ReadError::TooMuch { .. })));
    }
    // A package of nothing but zeros grows a thousandfold.
    let ratio = ReadLimits { ratio: 2.0, ..limits() };
    let many = Surface::of(&Ball::new([0.0; 3], 2.0).unwrap(), 0.1).unwrap();
    assert!(matches!(
        read(&many.to_3mf(), "x", &ratio),
        Err(ReadError::TooMuch { what: "times that a packed part grows", .. })
    ));
    let unpacked = ReadLimits { unpacked: 1000, ..limits() };
    assert!(matches!(read(&many.to_3mf(), "x", &unpacked), Err(ReadError::TooMuch { .. })));
}

const MODEL: &str = r#"<?xml version="1.0"?><model unit="inch" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources>
<object id="1"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/><vertex x="0" y="0" z="1"/></vertices>
<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/><triangle v1="2" v2="0" v3="3"/></triangles></mesh></object>
<object id="2"><components><component objectid="1"/><component objectid="1" transform="-1 0 0 0 1 0 0 0 1 -1 0 0"/></components></object>
</resources><build><item objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 5"/></build></model>"#;

#[test]
fn a_model_is_built_with_its_unit_its_copies_and_its_mirrors() {
    let r = read(MODEL.as_bytes(), "m.3mf", &limits()).unwrap();
    assert_eq!((r.unit, r.flaws.shells, r.mesh.facets.len()), (Some(LengthUnit::Inch), 2, 8));
    assert!(r.issues.iter().any(|i| i.found.contains("inch")), "{:?}", r.issues);
    let s = Surface::from_mesh(r.mesh).unwrap();
    // Two corners of a cube of two inches: a sixth each.
    let expected = 2.0 / 6.0 * (2.0f64 * 25.4).powi(3);
    assert!((s.volume() / expected - 1.0).abs() < 1e-12, "{}", s.volume());
    let deep = MODEL.replace(r#"<component objectid="1"/>"#, r#"<component objectid="2"/>"#);
    assert!(matches!(read(deep.as_bytes(), "m", &limits()), Err(ReadError::TooMuch { .. })));
}

#[test]
fn a_doubtful_size_names_the_units_that_would_fit() {
    let small = Surface::of(&Ball::new([0.0; 3], 0.005).unwrap(), 0.002).unwrap();
    let r = read(&small.to_stl(), "x", &limits()).unwrap();
    assert!(r.issues.iter().any(|i| i.remedy.contains("metre")), "{:?}", r.issues);
    assert_eq!(LengthUnit::suggested(0.4, [1.0, 500.0]), [LengthUnit::Metre, LengthUnit::Inch, LengthUnit::Centimetre]);
}

#[test]
fn polygons_that_are_not_convex_are_parted_rightly() {
    // An L of three unit squares, whose fan from the first corner would leave it.
    let l = "v 1 1 0\nv 1 2 0\nv 0 2 0\nv 0 0 0\nv 2 0 0\nv 2 1 0\nf 5 6 1 2 3 4\n";
    let s = Surface::from_obj(l.as_bytes()).unwrap();
    assert!((s.area() - 3.0).abs() < 1e-12 && s.facets().len() == 4, "{}", s.area());
}

#[test]
fn flipped_facets_and_shells_inside_out_are_turned_and_said() {
    let s = block();
    let mut facets = s.facets().to_vec();
    facets[7].swap(0, 1);
    facets[20].swap(0, 1);
    let flipped = Surface::new(s.points().to_vec(), facets).unwrap();
    let r = read(&flipped.to_ply(), "x", &limits()).unwrap();
    assert!(
        r.flaws.is_closed()
            && r.issues.iter().any(|i| i.found.starts_with("flipped facets") && i.found.ends_with(": 2")),
        "{:?}",
        r.issues
    );
    let inverted: Vec<[u32; 3]> = s.facets().iter().map(|f| [f[0], f[2], f[1]]).collect();
    let r = read(&Surface::new(s.points().to_vec(), inverted).unwrap().to_ply(), "x", &limits()).unwrap();
    assert!(r.issues.iter().any(|i| i.found.contains("inside out")));
    assert!((Surface::from_mesh(r.mesh).unwrap().volume() - s.volume()).abs() < 1e-9);
}

#[test]
fn holes_are_told_with_length_and_place_and_small_ones_are_closed() {
    let s = block();
    // One facet out, and everything near one corner.
    let kept: Vec<[u32; 3]> = (0u32..)
        .zip(s.facets())
        .filter(|(n, _)| {
            *n != 0 && s.middle(*n).iter().zip([2.0, 1.5, 1.0]).map(|(a, b)| (a - b).powi(2)).sum::<f64>() > 1.0
        })
        .map(|x| *x.1)
        .collect();
    let mesh = Mesh { points: s.points().to_vec(), facets: kept };
    let r = read(&Surface::from_mesh(mesh).unwrap().to_ply(), "x", &limits()).unwrap();
    assert_eq!(r.holes.len(), 2);
    assert!(r.holes[0].length > 3.0 && r.holes[0].centre.iter().all(|x| *x > 0.3), "{:?}", r.holes[0]);
    assert_eq!(r.holes[1].rim.len(), 3);
    let (mended, actions) = repair(&r.mesh, &Repair { weld: 0.0, fill: 3.0 }).unwrap();
    assert!(matches!(actions[..], [Action::LeftOpen { .. }, Action::Filled { facets: 1, .. }]), "{actions:?}");
    assert_eq!(inspect(&Surface::from_mesh(mended).unwrap()).holes.len(), 1);
    let (mended, _) = repair(&r.mesh, &Repair { weld: 0.0, fill: 20.0 }).unwrap();
    let whole = Surface::from_mesh(mended).unwrap();
    assert!(whole.is_closed() && whole.volume() > 0.95 * s.volume() && whole.volume() < s.volume());
}

#[test]
fn a_rim_about_the_origin_is_told_there_and_a_tip_whose_places_differ_by_rounding_is_joined() {
    let around = |k: u32| (std::f64::consts::TAU * f64::from(k) / 12.0).sin_cos();
    let ring: Vec<[f64; 3]> = (0..12).map(|k| [around(k).0, around(k).1, 0.0]).collect();
    // One tip, and one for every facet.
    let one: Vec<[f64; 3]> = ring.iter().copied().chain([[0.0, 0.0, 1.0]]).collect();
    let many = ring.iter().copied().chain((0..12).map(|k| [6e-17 * around(k).0, 6e-17 * around(k).1, 1.0])).collect();
    let facets = |tip: fn(u32) -> u32| (0..12).map(|k| [(k + 1) % 12, k, tip(k)]).collect::<Vec<[u32; 3]>>();
    let r = read(&Surface::new(one, facets(|_| 12)).unwrap().to_ply(), "x", &limits()).unwrap();
    let rim = r.issues.iter().find(|i| i.found.contains("a rim of 12 edges")).unwrap();
    assert!(rim.found.contains("about (0, 0, 0)") && rim.remedy.contains("joins places"), "{rim:?}");
    let apart = Mesh { points: many, facets: facets(|k| 12 + k) };
    let (mended, actions) = repair(&apart, &Repair { weld: 1e-9, fill: 0.0 }).unwrap();
    assert_eq!(mended.points.len(), 13, "{actions:?}");
    assert_eq!(inspect(&Surface::from_mesh(mended).unwrap()).holes.len(), 1);
}

#[test]
fn seams_are_welded_duplicates_go_and_every_step_is_told() {
    let s = block();
    // Facets apart, each corner off by less than a micrometre.
    let points: Vec<[f64; 3]> = (0..s.facets().len() as u32)
        .flat_map(|f| s.corners(f).map(|p| p.map(|x| x + 1e-7 * f64::from(f % 7))))
        .collect();
    let mut facets: Vec<[u32; 3]> = (0..s.facets().len() as u32).map(|f| [3 * f, 3 * f + 1, 3 * f + 2]).collect();
    facets.push([0, 2, 1]);
    facets[5].swap(0, 1);
    let (mended, actions) = repair(&Mesh { points, facets }, &Repair { weld: 1e-5, fill: 0.0 }).unwrap();
    let back = Surface::from_mesh(mended).unwrap();
    assert!(back.is_closed() && back.points().len() == s.points().len(), "{actions:?} {:?}", back.flaws());
    assert!(actions.contains(&Action::DroppedDuplicates(1)) && actions.contains(&Action::Flipped(1)), "{actions:?}");
    assert!(repair(&Mesh::default(), &Repair { weld: f64::NAN, fill: 0.0 }).is_err());
}

#[test]
fn facets_that_cut_each_other_are_found_and_neighbours_are_not() {
    let s = block();
    assert!(inspect(&s).crossings.is_empty() && inspect(&s).needles == 0);
    let two = |shift: f64| {
        let (mut points, mut facets) = (s.points().to_vec(), s.facets().to_vec());
        let first = points.len() as u32;
        points.extend(s.points().iter().map(|p| [p[0] + shift, p[1] + 0.123, p[2] + 0.077]));
        facets.extend(s.facets().iter().map(|f| f.map(|v| v + first)));
        inspect(&Surface::new(points, facets).unwrap())
    };
    assert!(two(5.0).crossings.is_empty() && two(5.0).shells.len() == 2);
    let cut = two(3.3).crossings;
    assert!(cut.len() > 8, "{}", cut.len());
    // Places lie on the second body's near face or the first one's far faces.
    assert!(cut.iter().all(|c| c.place[0] > 1.2 && c.place[0] < 2.1));
}

fn bodies() -> Vec<Vec<u8>> {
    let s = Surface::of(&Ball::new([0.0; 3], 1.0).unwrap(), 0.6).unwrap();
    vec![
        s.to_stl(),
        stl_text(&s).into_bytes(),
        s.to_ply(),
        ply(&s, true),
        ply_text(&s).into_bytes(),
        obj(&s).into_bytes(),
        s.to_3mf(),
        MODEL.as_bytes().to_vec(),
    ]
}

/// Whatever is read can be measured.
fn is_sound(bytes: &[u8]) {
    let small = ReadLimits { facets: 100_000, unpacked: 1 << 22, ..limits() };
    if let Ok(r) = read(bytes, "x", &small) {
        let (mended, _) = repair(&r.mesh, &Repair { weld: 1e-3, fill: 1e3 }).unwrap_or_default();
        assert!(r.mesh.points.iter().chain(&mended.points).flatten().all(|x| x.is_finite()));
        if let Ok(s) = Surface::from_mesh(r.mesh) {
            let seen = inspect(&s);
            let (d, near) = s.signed([0.1, 0.2, 0.3]);
            assert!(
                d.is_finite()
                    && near.distance >= 0.0
                    && s.winding([0.1, 0.2, 0.3]).is_finite()
                    && seen.flaws.shells > 0
            );
            let _ = (thickness_at_facets(&s), MeshSolid::new(s).map(|b| b.distance([0.0; 3])));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn reading_survives_garbage(mut bytes in prop::collection::vec(any::<u8>(), 0..600), head in 0usize..6) {
        let heads: [&[u8]; 6] = [b"", b"ply\nformat binary_little_endian 1.0\n", b"solid x\nfacet\nvertex ", b"PK\x03\x04", b"v 1 2 3\nf ", b"<?xml?><model "];
        bytes.splice(0..0, heads[head].iter().copied());
        is_sound(&bytes);
    }

    #[test]
    fn reading_survives_mutation(which in any::<prop::sample::Index>(), flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..12), end in any::<prop::sample::Index>(), cut in prop::bool::ANY) {
        let all = bodies();
        let mut bytes = all[which.index(all.len())].clone();
        for (at, value) in flips {
            let n = at.index(bytes.len());
            bytes[n] = value;
        }
        if cut {
            bytes.truncate(end.index(bytes.len()));
        }
        is_sound(&bytes);
    }

    #[test]
    fn mending_survives_any_facets(
        points in prop::collection::vec(prop::array::uniform3(-2i8..3), 3..20),
        picks in prop::collection::vec(prop::array::uniform3(any::<prop::sample::Index>()), 1..40),
    ) {
        let points: Vec<[f64; 3]> = points.iter().map(|p| p.map(f64::from)).collect();
        let facets = picks.iter().map(|f| f.map(|i| i.index(points.len()) as u32)).collect();
        if let Ok((mended, _)) = repair(&Mesh { points, facets }, &Repair { weld: 0.0, fill: 100.0 }) {
            let s = Surface::from_mesh(mended).unwrap();
            let seen = inspect(&s);
            prop_assert!(seen.flaws.duplicates == 0 || seen.flaws.open_edges > 0 || seen.flaws.branching_edges > 0);
        }
    }
}
