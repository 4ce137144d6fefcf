//! What is heard in the browser, and the files of it.

use apoyando_handout::Tempo;
use apoyando_sound::files::Format;
use axum::extract::{Path as Asked, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router};
use serde::Deserialize;

use crate::bench::Bench;
use crate::listen::{self, Wanted};
use crate::server::{Shared, aside, gone, refused};

/// The routes of what is heard.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/listen", get(listen))
        .route("/sound/{name}", get(sound))
        .route("/music", get(music))
}

#[derive(Deserialize)]
struct WhichItem {
    item: usize,
}

/// How an item is played.
async fn listen(
    State(shared): State<Shared>,
    Query(which): Query<WhichItem>,
) -> Result<Response, StatusCode> {
    let Some((item, instrument)) = shared.ask(move |bench| bench.playable(which.item)).await?
    else {
        return Ok(gone());
    };
    Ok(match aside(move || apoyando_handout::heard(&item, &instrument)).await? {
        Ok(heard) => Json(heard).into_response(),
        Err(error) => refused(error),
    })
}

/// One sound of the instrument, named as `2-1-1-free-middle`.
async fn sound(
    State(shared): State<Shared>,
    Asked(name): Asked<String>,
) -> Result<Response, StatusCode> {
    let instrument = |bench: &Bench| bench.book().map(|book| book.instrument.clone());
    let (Some(instrument), Ok(sounding)) = (shared.ask(instrument).await?, name.parse()) else {
        return Ok(gone());
    };
    Ok(match aside(move || listen::sound(sounding, &instrument)).await? {
        Ok(Some(flac)) => ([(header::CONTENT_TYPE, "audio/flac")], flac).into_response(),
        Ok(None) => gone(),
        Err(error) => refused(error),
    })
}

#[derive(Deserialize)]
struct WhichMusic {
    item: usize,
    ending: String,
    tempo: Option<u16>,
    /// Numbers of parts from 0, with commas between them; all, if there are none.
    #[serde(default)]
    parts: String,
}

/// A file of how an item sounds.
async fn music(
    State(shared): State<Shared>,
    Query(which): Query<WhichMusic>,
) -> Result<Response, StatusCode> {
    let WhichMusic { item, ending, tempo, parts } = which;
    let Some((item, instrument)) = shared.ask(move |bench| bench.playable(item)).await? else {
        return Ok(gone());
    };
    let Some(format) = Format::of_ending(&ending) else {
        let said = format!("Sound is written as mid, wav or flac, not as {ending}.");
        return Ok(refused(said));
    };
    let named = format!("attachment; filename=\"{}.{ending}\"", item.name);
    let parts: Vec<u16> = parts.split(',').filter_map(|part| part.parse().ok()).collect();
    let tempo = tempo.map_or(Tempo::FULL, Tempo::hundredths);
    let made = move || listen::recorded(&item, &instrument, &Wanted { format, tempo, parts });
    Ok(match aside(made).await? {
        Ok(bytes) => {
            let kind = format.media_type();
            let headers =
                [(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, named.as_str())];
            (headers, bytes).into_response()
        }
        Err(error) => refused(error),
    })
}
