//! Answering until Ctrl-C.

use super::super::exit::Failure;
use super::super::stop::no_more_files;
use super::routes::routes;
use super::state::Bench;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Notify;

/// How long the head of a request may take to come, and a connection may wait for the next: whoever asks sits at the
/// same computer, and what is never ended would hold a file open for good.
const HEAD: Duration = Duration::from_secs(5);

/// How long nobody is let in where the system has no file left for another connection.
const PAUSE: Duration = Duration::from_millis(50);

/// How long answers that have begun may take after Ctrl-C.
const GRACE: Duration = Duration::from_secs(2);

/// Answers requests until Ctrl-C; a run that goes on then is asked to stop, and its answer is not
/// waited for.
///
/// # Errors
/// What the system says.
pub fn serve(bench: &Arc<Bench>, listener: TcpListener) -> Result<(), Failure> {
    let system = |e: std::io::Error| Failure::System(format!("the bench cannot be served: {e}"));
    let ended = Arc::new(Notify::new());
    let (tell, stopped) = (Arc::clone(&ended), Arc::clone(bench));
    ctrlc::set_handler(move || {
        stopped.run().stop();
        tell.notify_waiters();
        tell.notify_one();
    })
    .map_err(|e| Failure::System(format!("Ctrl-C cannot be listened to: {e}")))?;
    listener.set_nonblocking(true).map_err(system)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(system)?;
    let done = runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let app = routes(bench);
        let connections = GracefulShutdown::new();
        let mut http = http1::Builder::new();
        http.timer(TokioTimer::new()).header_read_timeout(HEAD);
        loop {
            let accepted = tokio::select! {
                accepted = listener.accept() => accepted,
                () = ended.notified() => break,
            };
            let Ok((stream, _)) = accepted else {
                // Too many are open: some of them end.
                tokio::time::sleep(PAUSE).await;
                continue;
            };
            let service = TowerToHyperService::new(app.clone());
            let connection = http.serve_connection(TokioIo::new(stream), service);
            let connection = connections.watch(connection);
            tokio::spawn(async { drop(connection.await) });
        }
        drop(listener);
        drop(tokio::time::timeout(GRACE, connections.shutdown()).await);
        Ok(())
    });
    runtime.shutdown_background();
    // Files that are being written are written to the end.
    no_more_files();
    bench.without_drafts();
    done.map_err(system)
}
