//! The server itself: one loopback socket, one thread for requests, threads of their own for reckoning.

use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;

use crate::PageError;
use crate::store::Store;

/// What to serve and where.
#[derive(Debug, Clone)]
pub struct Options {
    /// Folder with the sheets; new finds are written into it.
    pub folder: PathBuf,
    /// A sheet to open first; it may lie outside the folder.
    pub sheet: Option<PathBuf>,
    /// Port on 127.0.0.1; 0 takes any free one.
    pub port: u16,
    /// Whether to ask the desktop to open a browser.
    pub open: bool,
}

/// A page whose address is known but which does not answer yet.
#[derive(Debug)]
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    store: Arc<Store>,
    first: String,
}

/// Serves until the process ends; prints the address on standard output first.
/// # Errors
/// As [`Server::bind`] and [`Server::run`].
pub fn serve(options: Options) -> Result<(), PageError> {
    let server = Server::bind(&options)?;
    println!("{}", server.url());
    if options.open {
        open_browser(&server.url());
    }
    server.run()
}

impl Server {
    /// Takes the port and looks at the folder.
    /// # Errors
    /// [`PageError::Port`] when the port cannot be had, [`PageError::File`] when folder or sheet cannot be read.
    pub fn bind(options: &Options) -> Result<Self, PageError> {
        let store = Store::folder(options.folder.clone(), options.sheet.clone());
        store.list()?;
        let first = match &options.sheet {
            Some(sheet) => store
                .slug_of(sheet)
                .map_or_else(|| "/".to_owned(), |slug| format!("/find/{slug}")),
            None => "/".to_owned(),
        };
        let port = options.port;
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))
            .map_err(|why| PageError::Port { port, why })?;
        listener.set_nonblocking(true).map_err(PageError::Start)?;
        let address = listener.local_addr().map_err(PageError::Start)?;
        Ok(Self {
            listener,
            address,
            store: Arc::new(store),
            first,
        })
    }

    /// The address to open, with the first sheet's path if one was given.
    pub fn url(&self) -> String {
        format!("http://{}{}", self.address, self.first)
    }

    /// Answers requests until the process ends.
    /// # Errors
    /// [`PageError::Start`] when the system refuses threads or the socket.
    pub fn run(self) -> Result<(), PageError> {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_io()
            .build()
            .map_err(PageError::Start)?;
        runtime.block_on(async move {
            let listener =
                tokio::net::TcpListener::from_std(self.listener).map_err(PageError::Start)?;
            axum::serve(
                listener,
                crate::routes::router(self.store, self.address.port()),
            )
            .await
            .map_err(PageError::Start)
        })
    }
}

/// Asks the desktop to show an address; a machine without one just prints it.
fn open_browser(url: &str) {
    let (program, arguments): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else {
        ("xdg-open", &[])
    };
    let started = std::process::Command::new(program)
        .args(arguments)
        .arg(url)
        .stdin(std::process::Stdio::null())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn();
    if started.is_err() {
        eprintln!("no browser could be opened; open {url} yourself");
    }
}
