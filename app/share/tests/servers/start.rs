//! Servers of other people's making, on free ports, with a folder of their own that goes when they do.

use std::io::Write;
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{env, fs};

pub fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("its address").port()
}

/// A folder that is made anew.
pub fn folder(name: &str) -> PathBuf {
    let dir = env::temp_dir().join(format!("candlemark-stores-{}-{name}", std::process::id()));
    fs::remove_dir_all(&dir).ok();
    fs::create_dir_all(&dir).expect("a folder");
    dir
}

pub struct Server {
    child: Child,
    port: u16,
    dir: PathBuf,
}

fn python() -> Command {
    Command::new(env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into()))
}

/// The signature of each request, by `sign.py`.
pub fn signed_by_botocore(args: &[&str], requests: &str) -> Vec<String> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/servers/sign.py");
    let mut command = python();
    command.arg(script).args(args).stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = command.spawn().expect("a Python with botocore: `cargo xtask test checks` fetches it");
    child.stdin.take().expect("a pipe").write_all(requests.as_bytes()).expect("written");
    let said = child.wait_with_output().expect("its answer");
    assert!(said.status.success());
    String::from_utf8_lossy(&said.stdout).lines().map(str::to_owned).collect()
}

impl Server {
    /// Waits until somebody listens.
    fn start(name: &str, port: u16, dir: PathBuf, mut command: Command) -> Server {
        let log = fs::File::create(dir.join("log")).expect("a log");
        let errors = log.try_clone().expect("a log");
        let child = command.stdin(Stdio::null()).stdout(log).stderr(errors).spawn();
        let child = child.unwrap_or_else(|why| panic!("{name}: {why}. `cargo xtask test checks` fetches it"));
        let mut server = Server { child, port, dir };
        let begun = Instant::now();
        while TcpStream::connect(("127.0.0.1", port)).is_err() {
            let ended = server.child.try_wait().expect("a child").is_some();
            if ended || begun.elapsed() > Duration::from_secs(60) {
                let said = fs::read_to_string(server.dir.join("log")).unwrap_or_default();
                panic!("{name} does not listen. It said:\n{said}");
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        server
    }

    pub fn address(&self, folder: &str) -> String {
        format!("http://127.0.0.1:{}/{folder}", self.port)
    }

    /// Debian's `apache2` with `mod_dav`.
    pub fn apache() -> Server {
        let (port, dir) = (free_port(), folder("apache"));
        // Started by root it serves as another user.
        for part in ["www", "www/dav", "lock"] {
            fs::create_dir_all(dir.join(part)).expect("a folder");
            open_to_all(&dir.join(part));
        }
        // `grey kettle`, as `htpasswd -s` writes it.
        fs::write(dir.join("users"), "keeper:{SHA}oJPr9ILIV6hBivzFXPDlsqK4gOI=\n").expect("users");
        let modules =
            ["mpm_event", "authn_core", "authn_file", "auth_basic", "authz_core", "authz_user", "dav", "dav_fs"];
        let modules: String = modules
            .iter()
            .map(|name| format!("LoadModule {name}_module /usr/lib/apache2/modules/mod_{name}.so\n"))
            .collect();
        let here = dir.display();
        let settings = format!(
            "{modules}ServerRoot {here}\nServerName 127.0.0.1\nListen 127.0.0.1:{port}\nPidFile {here}/pid\n\
             ErrorLog {here}/errors\nUser www-data\nGroup www-data\nDocumentRoot {here}/www\nDavLockDB {here}/lock/db\n\
             <Directory {here}/www>\nRequire all denied\n</Directory>\n\
             <Directory {here}/www/dav>\nDav On\nAuthType Basic\nAuthName barn\nAuthUserFile {here}/users\n\
             <LimitExcept OPTIONS>\nRequire valid-user\n</LimitExcept>\n</Directory>\n"
        );
        let file = dir.join("apache.conf");
        fs::write(&file, settings).expect("settings");
        open_to_all(&dir);
        let mut command = Command::new("/usr/sbin/apache2");
        command.arg("-f").arg(&file).arg("-DFOREGROUND");
        Server::start("apache2", port, dir, command)
    }

    /// Debian's `rclone`.
    pub fn rclone() -> Server {
        let (port, dir) = (free_port(), folder("rclone"));
        let files = dir.join("files");
        fs::create_dir_all(&files).expect("a folder");
        let mut command = Command::new("rclone");
        command.args(["serve", "webdav"]).arg(&files);
        command.args(["--addr", &format!("127.0.0.1:{port}"), "--baseurl", "dav"]);
        command.args(["--user", super::USER, "--pass", super::PASSWORD, "--config"]).arg(dir.join("none.conf"));
        Server::start("rclone", port, dir, command)
    }

    /// `wsgidav`, by its own server.
    pub fn wsgidav() -> Server {
        let (port, dir) = (free_port(), folder("wsgidav"));
        let files = dir.join("files");
        fs::create_dir_all(&files).expect("a folder");
        let settings = serde_json::json!({
            "host": "127.0.0.1", "port": port, "server": "cheroot",
            "provider_mapping": {"/dav": files},
            "http_authenticator": {"accept_basic": true, "accept_digest": false, "default_to_digest": false},
            "simple_dc": {"user_mapping": {"*": {super::USER: {"password": super::PASSWORD}}}},
        });
        let file = dir.join("wsgidav.json");
        fs::write(&file, settings.to_string()).expect("settings");
        let mut command = python();
        command.args(["-c", "from wsgidav.server.server_cli import run; run()", "--config"]).arg(file);
        Server::start("wsgidav", port, dir, command)
    }

    /// `moto`'s object store, with one bucket.
    pub fn moto() -> Server {
        let (port, dir) = (free_port(), folder("moto"));
        let mut command = python();
        command.args(["-c", "from moto.server import main; main()", "-H", "127.0.0.1", "-p", &port.to_string()]);
        let server = Server::start("moto", port, dir, command);
        let made = ureq::put(server.address("barn")).send_empty().expect("a bucket");
        assert_eq!(made.status(), 200);
        server
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Apache's children end with it only when it is asked to.
        let asked = Command::new("kill").arg(self.child.id().to_string()).status();
        if asked.is_err() {
            self.child.kill().ok();
        }
        self.child.wait().ok();
        fs::remove_dir_all(&self.dir).ok();
    }
}

#[cfg(unix)]
fn open_to_all(dir: &Path) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(dir, fs::Permissions::from_mode(0o777)).expect("permissions");
}

#[cfg(not(unix))]
fn open_to_all(_: &Path) {}
