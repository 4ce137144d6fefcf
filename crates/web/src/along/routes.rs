//! How the page asks for what is taken along.

use std::sync::Arc;

use axum::extract::{Path as Asked, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Serialize;

use super::counter::{CounterError, Fetched, Told};
use super::order::{OrderError, edition_said};
use super::{Commission, Order};
use crate::bench::Bench;
use crate::server::Shared;

/// Where it is asked for.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/along", get(told).post(order))
        .route("/along/choices", get(choices))
        .route("/along/{id}/file", get(file))
        .route("/along/{id}/away", post(away))
}

/// All that lies on the counter.
async fn told(State(shared): State<Shared>) -> Json<Vec<Told>> {
    Json(shared.counter.told())
}

/// What there is to choose from.
#[derive(Serialize)]
struct Choices {
    editions: Vec<EditionChoice>,
    items: Vec<ItemChoice>,
}

#[derive(Serialize)]
struct EditionChoice {
    name: String,
    said: String,
}

#[derive(Serialize)]
struct ItemChoice {
    title: String,
    section: String,
}

async fn choices(State(shared): State<Shared>) -> Response {
    let at_hand = match shared.turn(|bench| bench.at_hand(), |_| None).await {
        Ok(at_hand) => at_hand,
        Err(status) => return status.into_response(),
    };
    let Some(at_hand) = at_hand else {
        return Json(Choices { editions: Vec::new(), items: Vec::new() }).into_response();
    };
    let editions = at_hand.book.every_edition();
    let editions = editions.iter().map(|edition| EditionChoice {
        name: edition.name.clone(),
        said: edition_said(edition).to_owned(),
    });
    let section = |name: &str| {
        let own = at_hand.book.sections.iter().find(|section| section.name == name);
        own.map(|section| section.title.clone()).unwrap_or_default()
    };
    let items = at_hand.built.items.iter();
    let items =
        items.map(|item| ItemChoice { title: item.title.clone(), section: section(&item.section) });
    Json(Choices { editions: editions.collect(), items: items.collect() }).into_response()
}

/// Has something made.
async fn order(State(shared): State<Shared>, Json(order): Json<Order>) -> Response {
    let at_hand = match shared.turn(|bench: &mut Bench| bench.at_hand(), |_| None).await {
        Ok(Some(at_hand)) => at_hand,
        Ok(None) => return refused(&OrderError::Faulty),
        Err(status) => return status.into_response(),
    };
    let commission = match Commission::of(&order, &at_hand) {
        Ok(commission) => commission,
        Err(error) => return refused(&error),
    };
    match shared.counter.enter(&commission) {
        Ok((told, new)) => {
            if new {
                let counter = Arc::clone(&shared.counter);
                tokio::spawn(counter.fill(told.id, commission.work, at_hand));
            }
            (StatusCode::ACCEPTED, Json(told)).into_response()
        }
        Err(error) => not_here(&error),
    }
}

/// A file that is ready.
async fn file(State(shared): State<Shared>, Asked(id): Asked<u64>) -> Response {
    match shared.counter.fetch(id) {
        Ok(Fetched { file, media_type, bytes }) => {
            let named = format!("attachment; filename=\"{file}\"");
            let kind = media_type.to_owned();
            ([(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, named)], bytes)
                .into_response()
        }
        Err(error) => not_here(&error),
    }
}

/// Cancels something, or puts it away.
async fn away(State(shared): State<Shared>, Asked(id): Asked<u64>) -> Response {
    match shared.counter.clear(id) {
        Ok(()) => StatusCode::NO_CONTENT.into_response(),
        Err(error) => not_here(&error),
    }
}

/// What is said where nothing is had.
#[derive(Serialize)]
struct Refused {
    message: String,
}

fn refused(error: &OrderError) -> Response {
    let status = match error {
        OrderError::Format(_) => StatusCode::UNPROCESSABLE_ENTITY,
        OrderError::Faulty | OrderError::Edition { .. } | OrderError::Item => StatusCode::NOT_FOUND,
    };
    (status, Json(Refused { message: error.to_string() })).into_response()
}

fn not_here(error: &CounterError) -> Response {
    let status = match error {
        CounterError::Full => StatusCode::TOO_MANY_REQUESTS,
        CounterError::Gone => StatusCode::NOT_FOUND,
        CounterError::NotYet => StatusCode::CONFLICT,
        CounterError::Failed(_) => StatusCode::UNPROCESSABLE_ENTITY,
    };
    (status, Json(Refused { message: error.to_string() })).into_response()
}
