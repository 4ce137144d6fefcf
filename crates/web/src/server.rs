//! The server: one book, one bench, many windows.

use std::convert::Infallible;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use apoyando_book::Book;
use apoyando_book::edit::Revision;
use apoyando_handout::{STAND_CSS, STAND_HTML, STAND_JS, escaped};
use apoyando_music::NoteId;
use apoyando_workshop::plan::SectionKind;
use axum::body::Bytes;
use axum::extract::{Path as Asked, Query, Request, State};
use axum::http::{StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{Html, IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Deserialize;
use tokio::net::TcpListener;
use tokio::sync::broadcast;
use tokio_stream::StreamExt;
use tokio_stream::wrappers::{BroadcastStream, WatchStream};

use crate::along::{self, Counter};
use crate::bench::{Bench, Turned};
use crate::dropped;
use crate::edits;
use crate::error::OpenError;
use crate::foresight::{Attention, foresee};
use crate::guard::{Door, guard};
use crate::hear;
use crate::note;
use crate::order;
use crate::remarks;
use crate::sheet::targets_of;
use crate::typed;
use crate::watch::Seen;

/// How often the disk is looked at.
const LOOK: Duration = Duration::from_millis(400);
/// Threads for what takes its time: one may foresee, one make, the others draw.
const THREADS: usize = 4;
/// No edit is larger than this.
const LARGEST: usize = 8 << 20;

/// What is told when the book is open.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Served {
    /// Where it is in the browser.
    pub address: String,
    /// Its title.
    pub title: String,
}

/// What every request shares.
#[derive(Clone)]
pub(crate) struct Shared {
    bench: Arc<Mutex<Bench>>,
    /// What the book was called when it was opened.
    title: Arc<str>,
    turned: broadcast::Sender<Turned>,
    /// What is made beside the bench.
    pub(crate) counter: Arc<Counter>,
    /// What was asked for last.
    pub(crate) attention: Attention,
}

impl Shared {
    /// The bench. A thread that died left it as it was before or after a change.
    pub fn bench(&self) -> MutexGuard<'_, Bench> {
        self.bench.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Looks at the bench on a thread that may wait for it.
    pub(crate) async fn ask<T: Send + 'static>(
        &self,
        what: impl FnOnce(&Bench) -> T + Send + 'static,
    ) -> Result<T, StatusCode> {
        let shared = self.clone();
        aside(move || what(&shared.bench())).await
    }

    /// Does something on a thread that may take its time, and tells all windows.
    pub(crate) async fn turn<T: Send + 'static>(
        &self,
        what: impl FnOnce(&mut Bench) -> T + Send + 'static,
        told: impl FnOnce(&T) -> Option<Turned>,
    ) -> Result<T, StatusCode> {
        self.attention.turn();
        let shared = self.clone();
        let done = tokio::task::spawn_blocking(move || what(&mut shared.bench())).await;
        let done = done.map_err(|_| StatusCode::INTERNAL_SERVER_ERROR)?;
        if let Some(turned) = told(&done) {
            // Nobody may be listening.
            let _ = self.turned.send(turned);
        }
        Ok(done)
    }
}

/// Serves a book on a port of this computer, 0 for any, until the program is stopped.
/// `served` is told when it can be looked at.
///
/// # Errors
/// If there is no such folder, its journal cannot be read, or the port cannot be had.
pub fn open(folder: &Path, port: u16, served: impl FnOnce(Served)) -> Result<(), OpenError> {
    if !folder.is_dir() {
        return Err(OpenError::NoFolder(folder.to_owned()));
    }
    // The pages are made while the browser comes.
    let bench = Bench::laid_out(folder)?;
    let title = Book::open(folder).map_or_else(|_| "A book".into(), |book| book.title.into());
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        // Nearly all that is asked for waits for the one bench, and every thread that draws or
        // sets pages has memory of its own.
        .max_blocking_threads(THREADS)
        .enable_all()
        .build()
        .map_err(OpenError::System)?;
    runtime.block_on(serve((bench, title), port, served))
}

async fn serve(
    (bench, title): (Bench, Arc<str>),
    port: u16,
    served: impl FnOnce(Served),
) -> Result<(), OpenError> {
    let fail = |error| OpenError::Port { port, error };
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let listener = TcpListener::bind(address).await.map_err(fail)?;
    let port = listener.local_addr().map_err(fail)?.port();
    let folder = bench.folder().to_owned();
    let (turned, _) = broadcast::channel(64);
    let shared = Shared {
        bench: Arc::new(Mutex::new(bench)),
        title: title.clone(),
        turned,
        counter: Arc::default(),
        attention: Attention::default(),
    };
    // Whoever asks for the book from now on waits for it.
    let (laid, begun) = tokio::sync::oneshot::channel();
    let opened = shared.clone();
    tokio::task::spawn_blocking(move || {
        let mut bench = opened.bench();
        // Whom it would be told to is there still.
        let _ = laid.send(());
        bench.turn_over();
    });
    let _ = begun.await;
    tokio::spawn(look_at_disk(shared.clone(), folder));
    served(Served { address: format!("http://127.0.0.1:{port}/"), title: title.to_string() });
    let app = routes(shared, Door(port));
    axum::serve(listener, app).await.map_err(OpenError::System)
}

fn routes(shared: Shared, door: Door) -> Router {
    Router::new()
        .route("/", get(shell))
        .route("/look.css", get(look))
        .route("/book.js", get(|| asset("text/javascript", include_str!("../assets/book.js"))))
        .route("/mark.svg", get(|| asset("image/svg+xml", include_str!("../assets/mark.svg"))))
        .route("/stand.js", get(|| asset("text/javascript", STAND_JS)))
        .route("/listen.js", get(|| asset("text/javascript", include_str!("../assets/listen.js"))))
        .route("/now", get(now))
        .route("/changes", get(changes))
        .route("/page/{page}/picture", get(picture))
        .route("/page/{page}/notes", get(notes))
        .route("/note", get(card))
        .route("/findings", get(findings))
        .route("/contents", get(contents))
        .route("/files", get(files))
        .route("/text", get(text))
        .route("/add.js", get(|| asset("text/javascript", include_str!("../assets/add.js"))))
        .route("/typed", post(typed))
        .merge(order::routes())
        .route("/dropped", post(dropped))
        .merge(hear::routes())
        .merge(edits::routes())
        .route("/along.js", get(|| asset("text/javascript", include_str!("../assets/along.js"))))
        .route("/room.js", get(|| asset("text/javascript", include_str!("../assets/room.js"))))
        .merge(along::routes())
        .layer(axum::extract::DefaultBodyLimit::max(LARGEST))
        .layer(middleware::from_fn(move |request: Request, next: Next| guard(door, request, next)))
        .with_state(shared)
}

/// The look of the music stand, and that of the pages.
async fn look() -> Response {
    let look = [STAND_CSS, include_str!("../assets/look.css"), include_str!("../assets/along.css")]
        .concat();
    ([(header::CONTENT_TYPE, "text/css; charset=utf-8")], look).into_response()
}

pub async fn asset(kind: &'static str, text: &'static str) -> Response {
    ([(header::CONTENT_TYPE, format!("{kind}; charset=utf-8"))], text).into_response()
}

/// Looks whether another program wrote into the folder.
async fn look_at_disk(shared: Shared, folder: PathBuf) {
    loop {
        tokio::time::sleep(LOOK).await;
        let (looked, folder) = (shared.clone(), folder.clone());
        // Nothing of ours is written between the two looks.
        let changed = looked.ask(move |bench| Seen::of(&folder) != *bench.seen()).await;
        if changed == Ok(true) {
            let _ = shared.turn(Bench::turn_over, |turned| Some(turned.clone())).await;
        }
    }
}

async fn shell(State(shared): State<Shared>) -> Html<String> {
    // Nobody waits for the title while the pages are made.
    let now = shared.bench.try_lock().ok();
    let now = now.and_then(|bench| bench.plan().map(|plan| plan.title.clone()));
    let title = now.unwrap_or_else(|| shared.title.to_string());
    let stand = STAND_HTML.replace("{more}", include_str!("../assets/files.html"));
    let shell = include_str!("../assets/book.html").replace("{stand}", &stand);
    let shell = shell.replace("{along}", include_str!("../assets/along.html"));
    Html(shell.replace("{title}", &escaped(&title)))
}

async fn now(State(shared): State<Shared>) -> Result<Json<Turned>, StatusCode> {
    shared.ask(Bench::now).await.map(Json)
}

/// Tells of every change as it comes, and of what is made beside the bench.
async fn changes(
    State(shared): State<Shared>,
) -> Sse<impl tokio_stream::Stream<Item = Result<Event, Infallible>>> {
    let along = WatchStream::new(shared.counter.watch())
        .map(|told| Ok(Event::default().event("along").json_data(told).unwrap_or_default()));
    let stream = BroadcastStream::new(shared.turned.subscribe()).map(move |turned| {
        // A window that was too slow is told how things stand.
        let turned = turned.unwrap_or_else(|_| shared.bench().now());
        Ok(Event::default().json_data(turned).unwrap_or_default())
    });
    Sse::new(stream.merge(along)).keep_alive(KeepAlive::default())
}

async fn picture(
    State(shared): State<Shared>,
    Asked(page): Asked<usize>,
) -> Result<Response, StatusCode> {
    // The bench is free while it is drawn.
    let leaf = match shared.ask(move |bench| bench.proofs().leaf(page)).await? {
        Ok(leaf) => leaf,
        Err(error) => return Ok((StatusCode::NOT_FOUND, error.to_string()).into_response()),
    };
    let svg = aside(move || leaf.svg()).await?;
    let headers = [(header::CONTENT_TYPE, "image/svg+xml"), (header::CACHE_CONTROL, "no-store")];
    Ok((headers, svg).into_response())
}

async fn notes(
    State(shared): State<Shared>,
    Asked(page): Asked<usize>,
) -> Result<Html<String>, StatusCode> {
    shared.ask(move |bench| targets_of(bench, page)).await.map(Html)
}

#[derive(Deserialize)]
struct WhichNote {
    item: usize,
    note: u32,
}

async fn card(State(shared): State<Shared>, Query(which): Query<WhichNote>) -> Response {
    let asked = move |bench: &mut Bench| note::card(bench, which.item, NoteId(which.note));
    match shared.turn(asked, |_| None).await {
        Ok(Some(card)) => {
            foresee(&shared, card.ways);
            Html(card.html).into_response()
        }
        Ok(None) => (StatusCode::NOT_FOUND, "There is no such note any more.").into_response(),
        Err(status) => status.into_response(),
    }
}

async fn findings(State(shared): State<Shared>) -> Result<Html<String>, StatusCode> {
    shared.ask(remarks::list).await.map(Html)
}

async fn contents(State(shared): State<Shared>) -> Result<Html<String>, StatusCode> {
    shared.ask(contents_of).await.map(Html)
}

fn contents_of(bench: &Bench) -> String {
    let mut list = String::from("<ol class=\"contents\">");
    let mut item = 0;
    let sections = bench.plan().into_iter().flat_map(|plan| &plan.sections);
    for section in sections.filter(|section| section.kind != SectionKind::Verso) {
        let music = section.blocks.iter().filter(|block| block.music().is_some()).count();
        if section.kind == SectionKind::Lessons {
            list.push_str(&format!("<li><b>{}</b><ol>", escaped(&section.heading)));
            for index in item..item + music {
                let title = bench.item(index).map(|built| escaped(&built.title));
                let page = bench.page_of(index).unwrap_or_default();
                list.push_str(&format!(
                    "<li><a href=\"#page-{page}\">{}</a> <span>{page}</span></li>",
                    title.unwrap_or_default()
                ));
            }
            list.push_str("</ol></li>");
        }
        item += music;
    }
    list.push_str("</ol>");
    list
}

async fn files(State(shared): State<Shared>) -> Result<Json<Vec<String>>, StatusCode> {
    shared.ask(Bench::files).await.map(Json)
}

#[derive(Deserialize)]
struct WhichFile {
    file: String,
}

async fn text(
    State(shared): State<Shared>,
    Query(which): Query<WhichFile>,
) -> Result<Response, StatusCode> {
    #[derive(serde::Serialize)]
    struct Text {
        text: String,
        base: Revision,
    }
    Ok(match shared.ask(move |bench| bench.text(&which.file)).await? {
        Ok(Some(text)) => Json(Text { base: Revision::of(&text), text }).into_response(),
        Ok(None) => (StatusCode::NOT_FOUND, "There is no such file.").into_response(),
        Err(error) => refused(error),
    })
}

#[derive(Deserialize)]
struct DroppedName {
    /// Tells the format by its ending.
    name: String,
}

/// A file of notes that was dropped on the page, as text.
async fn dropped(Query(which): Query<DroppedName>, bytes: Bytes) -> Response {
    match aside(move || dropped::dropped(&which.name, &bytes)).await {
        Ok(Ok(dropped)) => Json(dropped).into_response(),
        Ok(Err(error)) => refused(error),
        Err(status) => status.into_response(),
    }
}

#[derive(Deserialize)]
struct TypedText {
    /// Tells the format by its ending.
    name: String,
    text: String,
}

/// Music that is being typed, engraved.
async fn typed(Json(asked): Json<TypedText>) -> Response {
    match aside(move || typed::typed(&asked.name, &asked.text)).await {
        Ok(typed) => Json(typed).into_response(),
        Err(status) => status.into_response(),
    }
}

pub fn gone() -> Response {
    (StatusCode::NOT_FOUND, "There is no such thing in the book any more.").into_response()
}

/// Why what was asked for cannot be done.
pub fn refused(why: impl ToString) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, why.to_string()).into_response()
}

/// Does something that takes its time.
pub async fn aside<T: Send + 'static>(
    what: impl FnOnce() -> T + Send + 'static,
) -> Result<T, StatusCode> {
    tokio::task::spawn_blocking(what).await.map_err(|_| StatusCode::INTERNAL_SERVER_ERROR)
}
