//! Connections: how many, how long they may dawdle, and whether they speak TLS.
//!
//! A slow client costs one small task and is let go after a while; a crowd costs what a bounded number of connections costs. The network's
//! places are counted apart from this machine's own, so that a crowd outside cannot keep the owner out.

use std::collections::HashMap;
use std::future::Future;
use std::io;
use std::net::IpAddr;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;

use axum::{Extension, Router};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::Sleep;
use tokio_rustls::TlsAcceptor;

/// A request's head must have come by then; a connection without one is closed.
const HEAD_COMES: Duration = Duration::from_secs(15);
/// The TLS handshake must be done by then.
const HANDSHAKE: Duration = Duration::from_secs(10);
/// Whoever takes nothing of an answer for so long is let go.
const TAKES: Duration = Duration::from_secs(60);
/// Largest head: the fields of the longest form stand in an address when it is gone back to.
const LARGEST_HEAD: usize = 64 << 10;
/// Most header lines; a browser sends some twenty.
const MOST_HEADERS: usize = 64;
/// Connections at once at one kind of door.
const MOST: usize = 256;
/// Connections at once from one address of the network; a browser opens six.
const MOST_FROM_ONE: usize = 32;
/// First byte of a TLS record with a handshake in it (RFC 8446, 5.1).
const TLS_HANDSHAKE: u8 = 0x16;

/// Who sent a request.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Peer(pub(crate) IpAddr);

/// What a door's connections are answered with.
#[derive(Clone)]
pub(crate) enum Answers {
    /// Plainly.
    Plain(Router),
    /// By TLS; whoever comes without it gets the other pages.
    Tls {
        /// The handshake.
        acceptor: TlsAcceptor,
        /// The pages.
        pages: Router,
        /// What those without TLS get.
        without: Router,
    },
}

/// The connections that are open, counted by where they come from.
#[derive(Debug, Default)]
pub(crate) struct Places {
    taken: Mutex<HashMap<IpAddr, usize>>,
}

/// One place, free again when dropped.
pub(crate) struct Place {
    places: Arc<Places>,
    from: IpAddr,
}

impl Places {
    fn take(self: &Arc<Self>, from: IpAddr) -> Option<Place> {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let most = if from.is_loopback() {
            MOST
        } else {
            MOST_FROM_ONE
        };
        let full = taken.values().sum::<usize>() >= MOST
            || taken.get(&from).is_some_and(|own| *own >= most);
        (!full).then(|| {
            *taken.entry(from).or_default() += 1;
            Place {
                places: self.clone(),
                from,
            }
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = self
            .places
            .taken
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(own) = taken.get_mut(&self.from) {
            *own -= 1;
            if *own == 0 {
                taken.remove(&self.from);
            }
        }
    }
}

/// Answers a listener's connections for ever.
pub(crate) async fn answer(listener: TcpListener, answers: Answers, places: Arc<Places>) {
    loop {
        let Ok((stream, peer)) = listener.accept().await else {
            // Out of descriptors, or a connection that was gone before it was taken: others will end.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        // Small answers follow one another while a handle is moved.
        let _ = stream.set_nodelay(true);
        if let Some(place) = places.take(peer.ip()) {
            let answers = answers.clone();
            tokio::spawn(async move {
                converse(stream, peer.ip(), answers).await;
                drop(place);
            });
        }
    }
}

async fn converse(stream: TcpStream, from: IpAddr, answers: Answers) {
    match answers {
        Answers::Plain(pages) => speak(Patient::new(stream), from, pages).await,
        Answers::Tls {
            acceptor,
            pages,
            without,
        } => {
            let mut first = [0; 1];
            let peeked = tokio::time::timeout(HANDSHAKE, stream.peek(&mut first)).await;
            let stream = Patient::new(stream);
            match peeked {
                Ok(Ok(1)) if first[0] == TLS_HANDSHAKE => {
                    let made = tokio::time::timeout(HANDSHAKE, acceptor.accept(stream)).await;
                    if let Ok(Ok(stream)) = made {
                        speak(stream, from, pages).await;
                    }
                }
                Ok(Ok(1)) => speak(stream, from, without).await,
                _ => {}
            }
        }
    }
}

/// Answers the requests of one connection. How it ends (left, too slow, malformed) is the other side's affair.
async fn speak<S>(stream: S, from: IpAddr, pages: Router)
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let pages = pages.layer(Extension(Peer(from)));
    let _ = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_COMES)
        .max_buf_size(LARGEST_HEAD)
        .max_headers(MOST_HEADERS)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(pages))
        .await;
}

/// A stream that is given up when the other side takes nothing for [`TAKES`].
struct Patient<S> {
    stream: S,
    stalled: Option<Pin<Box<Sleep>>>,
}

impl<S: AsyncWrite + Unpin> Patient<S> {
    fn new(stream: S) -> Self {
        Self {
            stream,
            stalled: None,
        }
    }

    fn patiently<T>(
        &mut self,
        context: &mut Context<'_>,
        poll: impl FnOnce(Pin<&mut S>, &mut Context<'_>) -> Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        let done = poll(Pin::new(&mut self.stream), context);
        if done.is_ready() {
            self.stalled = None;
            return done;
        }
        let stalled = self
            .stalled
            .get_or_insert_with(|| Box::pin(tokio::time::sleep(TAKES)));
        match stalled.as_mut().poll(context) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Patient<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, into)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Patient<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        self.patiently(context, |stream, context| stream.poll_write(context, bytes))
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.patiently(context, |stream, context| stream.poll_flush(context))
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        self.patiently(context, |stream, context| stream.poll_shutdown(context))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};

    /// Runs with a clock that jumps to whatever is waited for: nothing here takes its time.
    fn at_once<F: Future>(work: F) -> F::Output {
        tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .start_paused(true)
            .build()
            .unwrap()
            .block_on(work)
    }

    fn pages() -> Router {
        let large = || async { "x".repeat(1 << 20) };
        Router::new().route("/", axum::routing::get(large))
    }

    fn from() -> IpAddr {
        IpAddr::from([10, 0, 0, 9])
    }

    #[test]
    fn whoever_sends_a_letter_now_and_then_is_let_go() {
        at_once(async {
            let (mut client, server) = tokio::io::duplex(1024);
            let served = tokio::spawn(speak(Patient::new(server), from(), pages()));
            let begun = tokio::time::Instant::now();
            for letter in b"GET / HTTP/1.1\r\nX-Slow: aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa".iter()
            {
                if client.write_all(&[*letter]).await.is_err() || served.is_finished() {
                    break;
                }
                tokio::time::sleep(Duration::from_secs(1)).await;
            }
            served.await.unwrap();
            assert!(begun.elapsed() < HEAD_COMES + Duration::from_secs(5));
        });
    }

    #[test]
    fn whoever_takes_nothing_is_let_go() {
        at_once(async {
            let (mut client, server) = tokio::io::duplex(1024);
            let served = tokio::spawn(speak(Patient::new(server), from(), pages()));
            client
                .write_all(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
                .await
                .unwrap();
            let begun = tokio::time::Instant::now();
            served.await.unwrap();
            assert!(begun.elapsed() >= TAKES && begun.elapsed() < TAKES * 2);
        });
    }

    #[test]
    fn a_head_without_end_is_refused() {
        at_once(async {
            let (client, server) = tokio::io::duplex(1024);
            let served = tokio::spawn(speak(Patient::new(server), from(), pages()));
            let (mut reading, mut writing) = tokio::io::split(client);
            let sends = async move {
                let _ = writing.write_all(b"GET / HTTP/1.1\r\nX-Long: ").await;
                while writing.write_all(&[b'a'; 1000]).await.is_ok() {}
            };
            let takes = async move {
                let mut answer = Vec::new();
                let _ = reading.read_to_end(&mut answer).await;
                answer
            };
            let (answer, ()) = tokio::join!(takes, sends);
            served.await.unwrap();
            assert!(
                answer.starts_with(b"HTTP/1.1 431"),
                "{}",
                String::from_utf8_lossy(&answer)
            );
        });
    }

    #[test]
    fn places_are_bounded_for_one_and_for_all() {
        let places = Arc::new(Places::default());
        let other = |n: u8| IpAddr::from([10, 0, 1, n]);
        let mut held: Vec<_> = (0..MOST_FROM_ONE)
            .filter_map(|_| places.take(from()))
            .collect();
        assert_eq!(held.len(), MOST_FROM_ONE);
        assert!(places.take(from()).is_none());
        for n in 0..20 {
            held.extend((0..MOST_FROM_ONE).filter_map(|_| places.take(other(n))));
        }
        assert_eq!(held.len(), MOST);
        held.clear();
        assert!(places.take(from()).is_some());
        assert!(places.taken.lock().unwrap().is_empty());
    }
}
