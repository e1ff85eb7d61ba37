//! The description the page's types are made from is the one this program answers with.

#[test]
fn the_committed_description_is_fresh() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../page/openapi.json");
    let committed: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(committed == web::openapi(), "page/openapi.json is old: bisque serve --openapi > page/openapi.json");
}

#[test]
fn every_reference_leads_somewhere_and_every_operation_is_named_once() {
    let document = web::openapi();
    assert_eq!(document["openapi"], "3.1.0");
    let mut names = Vec::new();
    walk(&document, &mut |key, value| {
        if key == "$ref" {
            let path = value.as_str().unwrap().trim_start_matches('#');
            assert!(document.pointer(path).is_some(), "{path} leads nowhere");
        }
        if key == "operationId" {
            names.push(value.as_str().unwrap().to_owned());
        }
    });
    let all = names.len();
    names.sort();
    names.dedup();
    assert!(all > 10 && names.len() == all, "{names:?}");
}

fn walk(value: &serde_json::Value, look: &mut impl FnMut(&str, &serde_json::Value)) {
    for (key, inner) in value.as_object().into_iter().flatten() {
        look(key, inner);
        walk(inner, look);
    }
    value.as_array().into_iter().flatten().for_each(|v| walk(v, look));
}
