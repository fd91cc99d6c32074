//! The server itself: a loopback socket, sockets on the network if asked, one thread for requests, threads of their own for reckoning.

use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;

use crate::PageError;
use crate::connections::{self, Answers, Places};
use crate::gate::{self, Lan, LanSaid};
use crate::guard::Door;
use crate::store::Store;

/// What to serve and where.
#[derive(Debug, Clone)]
pub struct Options {
    /// A book; begun if there is none. Folder and sheet do not count then.
    pub book: Option<PathBuf>,
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
    lan: Option<OpenedLan>,
}

/// The network's door and its sockets.
#[derive(Debug)]
struct OpenedLan {
    opened: gate::Opened,
    listeners: Vec<TcpListener>,
}

/// Threads for reckoning and files at once; what comes beyond waits.
const MOST_THREADS: usize = 64;

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
    /// [`PageError::Port`] when the port cannot be had, [`PageError::File`] when folder or sheet cannot be read,
    /// [`PageError::Book`] when the book cannot.
    pub fn bind(options: &Options) -> Result<Self, PageError> {
        let store = match &options.book {
            Some(book) => Store::book(book)?,
            None => {
                let (folder, sheet) = (options.folder.clone(), options.sheet.clone());
                Arc::new(Store::folder(folder, sheet))
            }
        };
        store.look()?;
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
            store,
            first,
            lan: None,
        })
    }

    /// Opens the page to the network, on the same port as on loopback.
    /// # Errors
    /// [`PageError::Lan`] when there is no passphrase or no private address, [`PageError::Port`] when an address's port cannot be had,
    /// [`PageError::File`] when what the gate keeps cannot be read or written.
    pub fn open_to_lan(mut self, lan: &Lan) -> Result<Self, PageError> {
        let port = self.address.port();
        let opened = gate::open(lan, port)?;
        let listeners = opened.addresses.iter().map(|address| {
            let listener =
                TcpListener::bind((*address, port)).map_err(|why| PageError::Port { port, why })?;
            listener.set_nonblocking(true).map_err(PageError::Start)?;
            Ok(listener)
        });
        let listeners = listeners.collect::<Result<_, PageError>>()?;
        self.lan = Some(OpenedLan { opened, listeners });
        Ok(self)
    }

    /// Where it is reached from the network, if it was opened to it.
    pub fn lan(&self) -> Option<&LanSaid> {
        self.lan.as_ref().map(|lan| &lan.opened.said)
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
            .enable_all()
            .max_blocking_threads(MOST_THREADS)
            .build()
            .map_err(PageError::Start)?;
        let pages = crate::routes::router(self.store);
        runtime.block_on(async move {
            if let Some(lan) = self.lan {
                let places = Arc::new(Places::default());
                let answers = lan_answers(&lan.opened, &pages);
                for listener in lan.listeners {
                    let listener =
                        tokio::net::TcpListener::from_std(listener).map_err(PageError::Start)?;
                    tokio::spawn(connections::answer(
                        listener,
                        answers.clone(),
                        places.clone(),
                    ));
                }
            }
            let listener =
                tokio::net::TcpListener::from_std(self.listener).map_err(PageError::Start)?;
            let own = Arc::new(Door::loopback(self.address.port()));
            let answers = Answers::Plain(gate::behind(pages, own));
            connections::answer(listener, answers, Arc::default()).await;
            Ok(())
        })
    }
}

fn lan_answers(opened: &gate::Opened, pages: &axum::Router) -> Answers {
    let guarded = gate::behind(pages.clone(), opened.door.clone());
    match &opened.tls {
        None => Answers::Plain(guarded),
        Some((config, without)) => Answers::Tls {
            acceptor: config.clone().into(),
            pages: guarded,
            without: gate::without_tls(without.clone()),
        },
    }
}

/// Asks the desktop to show an address; a machine without one just prints it.
pub fn open_browser(url: &str) {
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
