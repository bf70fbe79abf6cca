//! Programs: those that run beside the test, and those that are run to their end.

use std::env;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::sync::{Arc, Mutex};
use std::thread;

use super::wait_for;

/// A running program and every line it has said so far, on both of its outputs. It ends when dropped, and with the thread that
/// started it: a test run that is killed leaves none behind.
pub struct Program {
    name: String,
    child: Child,
    said: Arc<Mutex<Vec<String>>>,
}

impl Program {
    /// Starts it. `package` is the Debian package that brings it.
    pub fn start(command: &mut Command, package: &str) -> Self {
        let name = name(command);
        let mut command = tied_to_this_thread(command).unwrap_or_else(|error| missing(&name, package, &error));
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap_or_else(|error| missing("setpriv", "util-linux", &error));
        let said = Arc::default();
        listen(child.stdout.take().unwrap(), &said);
        listen(child.stderr.take().unwrap(), &said);
        Self { name, child, said }
    }

    /// Its process.
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// The first thing that `read` finds in a line, as soon as the program has said it.
    pub fn hear<T>(&mut self, what: &str, read: impl Fn(&str) -> Option<T>) -> T {
        wait_for(&format!("{} to say {what}", self.name), || {
            let ended = self.child.try_wait().unwrap();
            let found = self.said.lock().unwrap().iter().find_map(|line| read(line));
            if let (None, Some(status)) = (&found, ended) {
                panic!("{} ended with {status} and never said {what}:\n{}", self.name, self.said());
            }
            found
        })
    }

    /// The rest of the first line that starts so.
    pub fn hear_after(&mut self, start: &str) -> String {
        self.hear(&format!("‘{start}…’"), |line| line.strip_prefix(start).map(|rest| rest.trim().to_owned()))
    }

    /// Everything said so far.
    pub fn said(&self) -> String {
        self.said.lock().unwrap().join("\n")
    }

    /// Ends it as if the power went: nothing is put away.
    pub fn kill(&mut self) {
        // An error says that it has ended already.
        let _ = self.child.kill();
        self.child.wait().unwrap();
    }

    /// Asks it to end, as a system that shuts down does, and waits until it has.
    pub fn terminate(&mut self) -> ExitStatus {
        run_well(Command::new("sh").args(["-c", "kill -TERM \"$0\"", &self.child.id().to_string()]), "dash");
        wait_for(&format!("{} to end", self.name), || self.child.try_wait().unwrap())
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        self.kill();
    }
}

/// Runs a tool to its end, giving it `input` to read.
pub fn run_with_input(command: &mut Command, input: &[u8], package: &str) -> Output {
    let name = name(command);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap_or_else(|error| missing(&name, package, &error));
    // It may end without having read it all.
    let _ = child.stdin.take().unwrap().write_all(input);
    child.wait_with_output().unwrap()
}

/// Runs a tool that must do well.
pub fn run_well(command: &mut Command, package: &str) -> Output {
    let output = run_with_input(command, b"", package);
    assert!(output.status.success(), "{command:?}: {}: {}", output.status, String::from_utf8_lossy(&output.stderr));
    output
}

/// The same command by way of `setpriv`, which has the kernel kill it when this thread ends, and becomes it: under the same
/// number.
fn tied_to_this_thread(command: &Command) -> io::Result<Command> {
    let path = env::var_os("PATH").unwrap_or_default();
    if !env::split_paths(&path).any(|folder| folder.join(command.get_program()).is_file()) {
        return Err(io::ErrorKind::NotFound.into());
    }
    let mut tied = Command::new("setpriv");
    tied.args(["--pdeathsig", "KILL", "--"]).arg(command.get_program()).args(command.get_args());
    for (name, value) in command.get_envs() {
        match value {
            Some(value) => tied.env(name, value),
            None => tied.env_remove(name),
        };
    }
    if let Some(folder) = command.get_current_dir() {
        tied.current_dir(folder);
    }
    Ok(tied)
}

fn missing(name: &str, package: &str, error: &std::io::Error) -> ! {
    panic!("{name} cannot be started ({error}); Debian's package {package} brings it")
}

fn name(command: &Command) -> String {
    command.get_program().to_string_lossy().into_owned()
}

fn listen(output: impl Read + Send + 'static, said: &Arc<Mutex<Vec<String>>>) {
    let said = Arc::clone(said);
    thread::spawn(move || {
        for line in BufReader::new(output).lines().map_while(Result::ok) {
            said.lock().unwrap().push(line);
        }
    });
}
