//! Routes and their description in one place: each is registered once, with its handler and with what `openapi.json` says of it.
//!
//! The forms are the types' own JSON schemas (draft 2020-12, which is what OpenAPI 3.1 speaks), so that the types of the page
//! are made from the same declarations the program computes with.

use crate::app::App;
use crate::problem::Problem;
use axum::Router;
use axum::routing::MethodRouter;
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::{Map, Value, json};

/// What is said of one operation.
pub struct Operation {
    method: &'static str,
    path: &'static str,
    words: &'static str,
    queries: Vec<(&'static str, &'static str)>,
    revision: bool,
    body: Option<Form>,
    answer: Form,
}

/// A form sent or answered.
enum Form {
    Nothing,
    Json(fn(&mut SchemaGenerator) -> Value),
    Named(&'static str),
    Other(&'static str),
}

impl Operation {
    /// An operation at an address.
    pub fn new(method: &'static str, path: &'static str, words: &'static str) -> Self {
        Self { method, path, words, queries: Vec::new(), revision: false, body: None, answer: Form::Nothing }
    }

    /// With an argument in the address.
    pub fn query(mut self, name: &'static str, words: &'static str) -> Self {
        self.queries.push((name, words));
        self
    }

    /// Which must name the revision it changes.
    pub fn if_match(mut self) -> Self {
        self.revision = true;
        self
    }

    /// Which is sent this form.
    pub fn takes<T: JsonSchema>(mut self) -> Self {
        self.body = Some(Form::Json(|g| g.subschema_for::<T>().to_value()));
        self
    }

    /// Which is sent the form of a component of this name.
    pub fn takes_named(mut self, name: &'static str) -> Self {
        self.body = Some(Form::Named(name));
        self
    }

    /// Which is sent bytes.
    pub fn takes_bytes(mut self) -> Self {
        self.body = Some(Form::Other("application/octet-stream"));
        self
    }

    /// Which answers this form.
    pub fn answers<T: JsonSchema>(mut self) -> Self {
        self.answer = Form::Json(|g| g.subschema_for::<T>().to_value());
        self
    }

    /// Which answers something of this media type.
    pub fn answers_media(mut self, media: &'static str) -> Self {
        self.answer = Form::Other(media);
        self
    }
}

/// Routes with their description.
pub struct Api {
    router: Router<App>,
    paths: Map<String, Value>,
    generator: SchemaGenerator,
}

impl Default for Api {
    fn default() -> Self {
        let settings = SchemaSettings::draft2020_12().with(|s| {
            s.definitions_path = "/components/schemas".into();
            s.meta_schema = None;
        });
        Self { router: Router::new(), paths: Map::new(), generator: settings.into_generator() }
    }
}

impl Api {
    /// With one more operation.
    pub fn with(mut self, operation: Operation, handler: MethodRouter<App>) -> Self {
        let said = self.describe(&operation);
        let path = self.paths.entry(operation.path.replace("{*", "{")).or_insert(json!({}));
        path[operation.method] = said;
        self.router = self.router.route(operation.path, handler);
        self
    }

    /// The routes.
    pub fn router(self) -> Router<App> {
        self.router
    }

    /// The description, OpenAPI 3.1, with further components under their names.
    pub fn document(mut self, named: Vec<(&str, Value)>) -> Value {
        let problem = self.generator.subschema_for::<Problem>();
        debug_assert!(problem.as_object().is_some());
        let mut schemas = self.generator.take_definitions(true);
        schemas.extend(named.into_iter().map(|(name, schema)| (name.to_owned(), schema)));
        json!({
            "openapi": "3.1.0",
            "info": {
                "title": "Bisque",
                "version": env!("CARGO_PKG_VERSION"),
                "description": "Everything the page does. Every request that is not GET carries `x-bisque: 1`; a change of a \
                    sheet names the revision it saw in `If-Match`. Decision support for licensed professionals; not a \
                    certified medical device.",
                "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" },
            },
            "paths": self.paths,
            "components": { "schemas": schemas },
        })
    }

    fn describe(&mut self, operation: &Operation) -> Value {
        let mut parameters: Vec<Value> = operation
            .path
            .split('/')
            .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
            .map(|name| {
                json!({ "name": name.trim_start_matches('*'), "in": "path", "required": true, "schema": { "type": "string" } })
            })
            .collect();
        parameters.extend(operation.queries.iter().map(|(name, words)| {
            json!({ "name": name, "in": "query", "required": false, "description": words, "schema": { "type": "string" } })
        }));
        if operation.revision {
            parameters.push(json!({
                "name": "If-Match", "in": "header", "required": true,
                "description": "the revision seen, in quotation marks", "schema": { "type": "string" },
            }));
        }
        if operation.method != "get" {
            parameters.push(json!({
                "name": "x-bisque", "in": "header", "required": true, "schema": { "const": "1" },
            }));
        }
        let problem = self.generator.subschema_for::<Problem>().to_value();
        let answered = match self.content(&operation.answer) {
            Some(content) => json!({ "description": operation.words, "content": content }),
            None => json!({ "description": operation.words }),
        };
        let mut said = json!({
            "summary": operation.words,
            "operationId": operation_id(operation),
            "parameters": parameters,
            "responses": {
                "200": answered,
                "default": {
                    "description": "not done: what, where, what was expected, what to do",
                    "content": { "application/json": { "schema": problem } },
                },
            },
        });
        if let Some(content) = operation.body.as_ref().and_then(|form| self.content(form)) {
            said["requestBody"] = json!({ "required": true, "content": content });
        }
        said
    }

    fn content(&mut self, form: &Form) -> Option<Value> {
        match form {
            Form::Nothing => None,
            Form::Json(schema) => Some(json!({ "application/json": { "schema": schema(&mut self.generator) } })),
            Form::Named(name) => {
                Some(json!({ "application/json": { "schema": { "$ref": format!("#/components/schemas/{name}") } } }))
            }
            Form::Other(media) => Some(json!({ *media: { "schema": { "type": "string", "format": "binary" } } })),
        }
    }
}

/// A name for the operation: method and the fixed words of its address.
fn operation_id(operation: &Operation) -> String {
    let mut id = operation.method.to_owned();
    for part in operation.path.trim_start_matches("/api/").split(['/', '.', '-']).filter(|p| !p.is_empty()) {
        let part = part.trim_matches(['{', '}', '*']);
        let mut letters = part.chars();
        id.extend(letters.next().map(|c| c.to_ascii_uppercase()));
        id.push_str(letters.as_str());
    }
    id
}
