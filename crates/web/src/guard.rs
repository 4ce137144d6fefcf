//! Who may ask: pages of this server in a browser of this computer, and nobody else.
//!
//! The server listens on loopback only. A page of another site could still send requests from
//! the same browser, or have its own name point here; so the `Host` must be ours, and what
//! changes something must come from our own page (`Origin`, Fetch Standard).

use axum::body::Body;
use axum::http::{HeaderMap, HeaderValue, Method, Request, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// The port that is served; hosts and origins are made of it.
#[derive(Clone, Copy, Debug)]
pub struct Door(pub u16);

impl Door {
    fn hosts(self) -> [String; 2] {
        [format!("127.0.0.1:{}", self.0), format!("localhost:{}", self.0)]
    }

    /// Whether a request may be answered.
    pub fn admits(self, method: &Method, headers: &HeaderMap) -> bool {
        let text = |name| headers.get(name).and_then(|value: &HeaderValue| value.to_str().ok());
        let hosts = self.hosts();
        let host = text(header::HOST).is_some_and(|host| hosts.iter().any(|own| own == host));
        let own = |origin: &str| hosts.iter().any(|host| origin == format!("http://{host}"));
        let reads = method == Method::GET || method == Method::HEAD;
        let origin = match text(header::ORIGIN) {
            Some(origin) => own(origin),
            None => reads && !headers.contains_key(header::ORIGIN),
        };
        // Browsers say from where a request comes.
        let site = headers.get("sec-fetch-site").is_none_or(|site| site != "cross-site");
        host && origin && site
    }
}

/// What our pages may load: nothing but our own, and no script or style within them. Pictures
/// that a page has made of what the program answered are its own, too.
const POLICY: &str = "default-src 'none'; img-src 'self' blob:; style-src 'self'; script-src 'self'; \
    connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Lets in who may ask, and tells the browser what our pages may do.
pub async fn guard(door: Door, request: Request<Body>, next: Next) -> Response {
    if !door.admits(request.method(), request.headers()) {
        return (StatusCode::FORBIDDEN, "Only pages of this program may ask.").into_response();
    }
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-resource-policy", "same-origin"),
        ("cross-origin-opener-policy", "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    fn admits(method: Method, pairs: &[(&'static str, &'static str)]) -> bool {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.insert(*name, HeaderValue::from_static(value));
        }
        Door(4000).admits(&method, &headers)
    }

    #[test]
    fn only_our_own_pages_are_let_in() {
        let host = ("host", "127.0.0.1:4000");
        let own = ("origin", "http://127.0.0.1:4000");
        assert!(admits(Method::GET, &[host]));
        assert!(admits(Method::GET, &[("host", "localhost:4000")]));
        assert!(admits(Method::POST, &[host, own]));
        // Another name that points here, another port, no name.
        assert!(!admits(Method::GET, &[("host", "evil.example:4000")]));
        assert!(!admits(Method::GET, &[("host", "127.0.0.1:4001")]));
        assert!(!admits(Method::GET, &[]));
        // A page of another site.
        assert!(!admits(Method::POST, &[host, ("origin", "http://evil.example")]));
        assert!(!admits(Method::POST, &[host, ("origin", "null")]));
        assert!(!admits(Method::POST, &[host]));
        assert!(!admits(Method::GET, &[host, ("origin", "http://evil.example")]));
        assert!(!admits(Method::GET, &[host, ("sec-fetch-site", "cross-site")]));
    }
}
