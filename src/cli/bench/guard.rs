//! Who may ask: pages of this bench, on this computer.
//!
//! The address is loopback, so only programs on this computer reach it; but other people may use the
//! computer too, and a browser may ask for any site that it shows. So a request is refused whose host is
//! not the bench's own (another name was made to point here), whose origin or fetch metadata say that
//! another site asked, that does not bring the key of the printed address, and every change without the
//! token, which only a page served by this start knows. The key comes once in the address, which is
//! answered by a cookie and the address without it, and from then on in the cookie. Browsers bring cookies to all ports
//! of a computer, so also to the page of somebody else who works on it; this one is for paths below a place that nobody
//! guesses, where no other server has anything. All answers forbid
//! framing, sniffing, and whatever does not come from the bench itself.

use super::answer::{of_kind, refused};
use super::state::Bench;
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::Response;
use std::sync::Arc;

/// The header in which changes bring the token.
const TOKEN: &str = "x-rollwright-token";

/// How the printed address brings the key.
const KEY: &str = "key=";

/// The largest body that is read, in bytes: a file of the largest size that is read, as text within JSON.
pub const LARGEST: usize = 80 << 20;

/// What the page itself may load: its own files.
const OWN: &str = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; \
                   img-src 'self' data:; base-uri 'none'; form-action 'none'; \
                   frame-ancestors 'none'";

/// Lets a request through, or says why not.
pub async fn guard(State(bench): State<Arc<Bench>>, request: Request, next: Next) -> Response {
    let mut answer = match why_not(&bench, request.method(), request.headers()) {
        Some(why) => refused(StatusCode::FORBIDDEN, why),
        None if opens(&bench, &request) => opened(&bench),
        None if !knows_key(&bench, request.headers()) => refused(StatusCode::FORBIDDEN, NO_KEY),
        None => next.run(request).await,
    };
    let headers = answer.headers_mut();
    headers.entry(header::CONTENT_SECURITY_POLICY).or_insert_with(|| HeaderValue::from_static(OWN));
    for (name, value) in [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// Why a request is refused; `None` where it is not.
fn why_not(bench: &Bench, method: &Method, headers: &HeaderMap) -> Option<&'static str> {
    let port = bench.port;
    let hosts = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let mut named = headers.get_all(header::HOST).iter();
    let host = named.next().and_then(|host| host.to_str().ok());
    if !host.is_some_and(|host| hosts.iter().any(|own| own == host)) || named.next().is_some() {
        return Some("this is not the address that the bench printed");
    }
    let own_origin = |origin: &HeaderValue| {
        hosts.iter().any(|own| origin.as_bytes() == format!("http://{own}").as_bytes())
    };
    if !headers.get_all(header::ORIGIN).iter().all(own_origin) {
        return Some("another site asked for this");
    }
    let own_fetch = |site: &HeaderValue| matches!(site.as_bytes(), b"same-origin" | b"none");
    if !headers.get_all("sec-fetch-site").iter().all(own_fetch) {
        return Some("another site asked for this: type the bench's address yourself");
    }
    if method == Method::GET || method == Method::HEAD {
        return None;
    }
    let token = headers.get(TOKEN).map(HeaderValue::as_bytes).unwrap_or_default();
    let known = same(token, bench.token.as_bytes());
    (!known).then_some("the page is not of this start of the bench: load it again")
}

const NO_KEY: &str = "open the whole address that the bench printed, with its key";

/// Whether somebody opens the printed address.
fn opens(bench: &Bench, request: &Request) -> bool {
    let uri = request.uri();
    let key = uri.query().and_then(|query| query.strip_prefix(KEY));
    request.method() == Method::GET
        && uri.path() == "/"
        && key.is_some_and(|key| same(key.as_bytes(), bench.key.as_bytes()))
}

/// Cookies are shared by all ports of a computer, so several benches need names of their own as well.
fn cookie(bench: &Bench) -> String {
    format!("rollwright-{}={}", bench.port, bench.key)
}

/// The cookie, and the address without the key.
fn opened(bench: &Bench) -> Response {
    let mut answer = of_kind(StatusCode::SEE_OTHER, "text/plain; charset=utf-8", "");
    let place = format!("/{}/", bench.place);
    let text = format!("{}; Path={place}; SameSite=Strict; HttpOnly", cookie(bench));
    if let Ok(value) = HeaderValue::from_str(&text) {
        answer.headers_mut().insert(header::SET_COOKIE, value);
    }
    if let Ok(place) = HeaderValue::from_str(&place) {
        answer.headers_mut().insert(header::LOCATION, place);
    }
    answer
}

/// Whether the browser brings the cookie.
fn knows_key(bench: &Bench, headers: &HeaderMap) -> bool {
    let own = cookie(bench);
    let lists = headers.get_all(header::COOKIE).iter().filter_map(|list| list.to_str().ok());
    lists.flat_map(|list| list.split(';')).any(|one| same(one.trim().as_bytes(), own.as_bytes()))
}

/// Compares without telling by its time how much was right.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0, |sum, (a, b)| sum | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::effort::Effort;
    use crate::units::Decimal;

    fn bench() -> Bench {
        let effort = Effort { seconds: Some(Decimal::ONE), threads: None, seed: 1, work: None };
        Bench::new("/nowhere".into(), 4711, effort)
    }

    fn headers(list: &[(&'static str, &str)]) -> HeaderMap {
        let mut map = HeaderMap::new();
        for (name, value) in list {
            map.append(*name, HeaderValue::from_str(value).unwrap());
        }
        map
    }

    #[test]
    fn only_own_pages_are_answered() {
        let bench = bench();
        let own = ("host", "127.0.0.1:4711");
        let asks =
            |list: &[(&'static str, &str)]| why_not(&bench, &Method::GET, &headers(list)).is_none();
        assert!(asks(&[own]));
        assert!(asks(&[("host", "localhost:4711"), ("origin", "http://localhost:4711")]));
        assert!(asks(&[own, ("sec-fetch-site", "none")]));
        for wrong in [
            vec![],
            vec![("host", "127.0.0.1")],
            vec![("host", "127.0.0.1:4712")],
            vec![("host", "evil.example:4711")],
            vec![own, ("host", "evil.example")],
            vec![own, ("origin", "http://evil.example")],
            vec![own, ("origin", "null")],
            vec![own, ("origin", "https://127.0.0.1:4711")],
            vec![own, ("sec-fetch-site", "cross-site")],
            vec![own, ("sec-fetch-site", "same-site")],
        ] {
            assert!(!asks(&wrong), "{wrong:?}");
        }
    }

    #[test]
    fn everything_needs_the_key_of_this_start() {
        let bench = bench();
        let knows = |list: &str| knows_key(&bench, &headers(&[("cookie", list)]));
        let own = cookie(&bench);
        assert!(knows(&own) && knows(&format!("a=b; {own}; c=d")));
        assert!(!knows(&format!("a{own}")) && !knows(&own.replace("4711", "4712")));
        assert!(!knows(&cookie(&self::bench())) && !knows_key(&bench, &headers(&[])));
        let opens = |path: &str| {
            let ask = Request::builder().uri(path).body(axum::body::Body::empty()).unwrap();
            super::opens(&bench, &ask)
        };
        assert!(opens(&format!("/?key={}", bench.key)));
        assert!(!opens("/") && !opens("/?key=") && !opens(&format!("/?key={}0", bench.key)));
        assert!(!opens(&format!("/?key={}", bench.token)), "another secret");
    }

    #[test]
    fn changes_need_the_token_of_this_start() {
        let bench = bench();
        let own = ("host", "127.0.0.1:4711");
        let puts =
            |token: &str| why_not(&bench, &Method::PUT, &headers(&[own, (TOKEN, token)])).is_none();
        assert!(puts(&bench.token));
        assert!(!puts("") && !puts(&bench.token[1..]) && !puts(&"0".repeat(48)));
        assert!(why_not(&bench, &Method::POST, &headers(&[own])).is_some());
        assert_ne!(bench.token, self::bench().token);
    }
}
