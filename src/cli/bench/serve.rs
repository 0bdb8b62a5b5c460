//! Answering until Ctrl-C.

use super::super::exit::Failure;
use super::super::stop::no_more_files;
use super::routes::routes;
use super::state::Bench;
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Notify;

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
        let over = Arc::clone(&ended);
        let (begun, wait) = tokio::sync::oneshot::channel();
        let served = axum::serve(listener, routes(bench)).with_graceful_shutdown(async move {
            over.notified().await;
            let _ = begun.send(());
        });
        tokio::select! {
            done = async { served.await } => done,
            () = async { let _ = wait.await; tokio::time::sleep(GRACE).await; } => Ok(()),
        }
    });
    runtime.shutdown_background();
    // Files that are being written are written to the end.
    no_more_files();
    done.map_err(system)
}
