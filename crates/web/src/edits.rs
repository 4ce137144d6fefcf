//! Edits as they are asked for, and what is answered.

use apoyando_book::edit::{Edit, EditError};
use apoyando_book::journal::JournalError;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::routing::post;
use axum::{Json, Router};
use serde::Deserialize;

use crate::bench::{Bench, Turned};
use crate::server::Shared;

/// The routes of what changes the book.
pub fn routes() -> Router<Shared> {
    Router::new().route("/edit", post(edit)).route("/undo", post(undo)).route("/redo", post(redo))
}

/// An edit that was asked for, and what it is called in the list of what can be undone.
#[derive(Deserialize)]
struct AskedEdit {
    said: String,
    /// Edits of other files that belong to it.
    #[serde(default)]
    also: Vec<Edit>,
    #[serde(flatten)]
    edit: Edit,
}

async fn edit(State(shared): State<Shared>, Json(asked): Json<AskedEdit>) -> Response {
    let AskedEdit { said, also, edit } = asked;
    let said: String = said.chars().take(200).collect();
    done(shared.turn(move |bench| bench.edit(&edit, &also, &said), turned).await)
}

async fn undo(State(shared): State<Shared>) -> Response {
    done(shared.turn(Bench::undo, turned).await)
}

async fn redo(State(shared): State<Shared>) -> Response {
    done(shared.turn(Bench::redo, turned).await)
}

fn turned(done: &Result<Turned, JournalError>) -> Option<Turned> {
    done.as_ref().ok().cloned()
}

/// The answer to a change.
fn done(done: Result<Result<Turned, JournalError>, StatusCode>) -> Response {
    #[derive(serde::Serialize)]
    struct Refused {
        message: String,
        file: Option<String>,
        now: Option<String>,
    }
    match done {
        Err(status) => status.into_response(),
        Ok(Ok(turned)) => Json(turned).into_response(),
        Ok(Err(error)) => {
            let message = error.to_string();
            let (status, file, now) = match error {
                JournalError::Edit(EditError::Conflict { file, now }) => {
                    (StatusCode::CONFLICT, Some(file), Some(now))
                }
                JournalError::Save(_) => (StatusCode::INTERNAL_SERVER_ERROR, None, None),
                JournalError::Nothing(_) | JournalError::Edit(_) => {
                    (StatusCode::UNPROCESSABLE_ENTITY, None, None)
                }
            };
            (status, Json(Refused { message, file, now })).into_response()
        }
    }
}
