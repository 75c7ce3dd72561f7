//! A disk in memory that can fail at any operation and shows what a crash would leave.
//!
//! It keeps apart what a running system shows and what would survive a power cut: bytes last once their file was
//! synced, names once their folder was.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard};

use knockdown::store::disk::{Disk, FileKind, HeldLock, OpenFile};

/// What happens at the operation that is to fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// It fails and does nothing.
    Nothing,
    /// It fails although it did what it should.
    Late,
    /// A write takes only half of the bytes and says so; anything else fails and does nothing.
    Half,
    /// It and everything after it fail: the process or the disk is gone.
    Gone,
}

/// Which image a crash leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crash {
    /// Only the process died: everything is as it was seen.
    Process,
    /// The power failed: only synced bytes under synced names.
    Power,
    /// The power failed, but all names had reached the disk.
    PowerNames,
    /// The power failed, but all names and the first half of the unsynced bytes had reached the disk.
    PowerHalf,
}

impl Crash {
    pub const ALL: [Self; 4] = [Self::Process, Self::Power, Self::PowerNames, Self::PowerHalf];
}

#[derive(Clone)]
enum Node {
    Folder,
    File(usize),
}

#[derive(Clone, Default)]
struct Bytes {
    seen: Vec<u8>,
    lasting: usize,
}

#[derive(Default)]
struct State {
    names: BTreeMap<PathBuf, Node>,
    lasting_names: BTreeMap<PathBuf, Node>,
    files: Vec<Bytes>,
    locks: BTreeSet<PathBuf>,
    operations: usize,
    fault: Option<(usize, Fault)>,
}

/// The disk.
#[derive(Clone)]
pub struct TestDisk(Arc<Mutex<State>>);

fn gone() -> io::Error {
    io::Error::other("the test disk failed here")
}

impl TestDisk {
    pub fn new() -> Self {
        let mut state = State::default();
        state.names.insert(PathBuf::from("/"), Node::Folder);
        state.lasting_names = state.names.clone();
        Self(Arc::new(Mutex::new(state)))
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().expect("no test panics while it holds the disk")
    }

    /// From now on, lets the operation after `good` others fail.
    pub fn fail_after(&self, good: usize, fault: Fault) {
        let mut state = self.state();
        state.operations = 0;
        state.fault = Some((good, fault));
    }

    /// Whether the fault that was set has come.
    pub fn has_failed(&self) -> bool {
        let state = self.state();
        state.fault.is_some_and(|(good, _)| state.operations > good)
    }

    /// Lets nothing fail any more.
    pub fn heal(&self) {
        self.state().fault = None;
    }

    /// The bytes of a file as a running system shows them.
    pub fn bytes(&self, path: &Path) -> Option<Vec<u8>> {
        let state = self.state();
        match state.names.get(path)? {
            Node::File(file) => Some(state.files[*file].seen.clone()),
            Node::Folder => None,
        }
    }

    /// The files, without folders.
    pub fn file_names(&self) -> Vec<PathBuf> {
        let state = self.state();
        state.names.iter().filter(|(_, node)| matches!(node, Node::File(_))).map(|(path, _)| path.clone()).collect()
    }

    /// Puts bytes in a file, as if they had always been there.
    pub fn put(&self, path: &Path, bytes: &[u8]) {
        let mut state = self.state();
        for folder in path.ancestors().skip(1) {
            state.names.insert(folder.to_owned(), Node::Folder);
        }
        let file = state.files.len();
        state.files.push(Bytes { seen: bytes.to_vec(), lasting: bytes.len() });
        state.names.insert(path.to_owned(), Node::File(file));
        state.lasting_names = state.names.clone();
    }

    /// What is there after a crash: a disk of its own, on which nothing fails.
    pub fn after(&self, crash: Crash) -> Arc<Self> {
        let state = self.state();
        let names = if crash == Crash::Power { reachable(&state.lasting_names) } else { state.names.clone() };
        let kept = |file: &Bytes| match crash {
            Crash::Process => file.seen.len(),
            Crash::Power | Crash::PowerNames => file.lasting,
            Crash::PowerHalf => file.lasting + (file.seen.len() - file.lasting).div_ceil(2),
        };
        let left = |file: &Bytes| Bytes { seen: file.seen[..kept(file)].to_vec(), lasting: kept(file) };
        let files = state.files.iter().map(left).collect();
        let after = State { lasting_names: names.clone(), names, files, ..State::default() };
        Arc::new(Self(Arc::new(Mutex::new(after))))
    }

    /// Counts an operation; does `work` unless it fails here.
    fn operation<T>(&self, work: impl FnOnce(&mut State) -> io::Result<T>) -> io::Result<T> {
        let mut state = self.state();
        let fault = next_fault(&mut state);
        if !matches!(fault, None | Some(Fault::Late)) {
            return Err(gone());
        }
        let done = work(&mut state);
        // A result that is thrown away may be a lock, which needs the disk to let go.
        drop(state);
        if fault.is_some() { Err(gone()) } else { done }
    }
}

/// Counts an operation; the fault if it is to fail.
fn next_fault(state: &mut State) -> Option<Fault> {
    state.operations += 1;
    let (good, fault) = state.fault?;
    let fails = if fault == Fault::Gone { state.operations > good } else { state.operations == good + 1 };
    fails.then_some(fault)
}

/// The names whose folders are all there.
fn reachable(names: &BTreeMap<PathBuf, Node>) -> BTreeMap<PathBuf, Node> {
    let is_there = |path: &Path| path.ancestors().skip(1).all(|folder| names.contains_key(folder));
    names.iter().filter(|(path, _)| is_there(path)).map(|(path, node)| (path.clone(), node.clone())).collect()
}

impl State {
    fn file(&self, path: &Path) -> io::Result<usize> {
        match self.names.get(path) {
            Some(Node::File(file)) => Ok(*file),
            _ => Err(io::ErrorKind::NotFound.into()),
        }
    }

    /// Gives a node a name that must be free and whose folder must be there.
    fn name(&mut self, path: &Path, node: Node) -> io::Result<()> {
        if self.names.contains_key(path) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        match path.parent().and_then(|parent| self.names.get(parent)) {
            Some(Node::Folder) => drop(self.names.insert(path.to_owned(), node)),
            _ => return Err(io::ErrorKind::NotFound.into()),
        }
        Ok(())
    }
}

impl Disk for TestDisk {
    fn kind(&self, path: &Path) -> io::Result<Option<FileKind>> {
        self.operation(|state| {
            Ok(state.names.get(path).map(|node| match node {
                Node::Folder => FileKind::Folder,
                Node::File(file) => FileKind::File { len: state.files[*file].seen.len() as u64 },
            }))
        })
    }

    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        self.operation(|state| {
            let bytes = &state.files[state.file(path)?].seen;
            Ok(bytes[..bytes.len().min(limit as usize)].to_vec())
        })
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<String>> {
        self.operation(|state| {
            let inside = state.names.keys().filter(|path| path.parent() == Some(folder));
            Ok(inside.filter_map(|path| path.file_name()?.to_str().map(str::to_owned)).collect())
        })
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        self.operation(|state| state.name(folder, Node::Folder))
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        self.operation(|state| {
            let file = state.files.len();
            state.name(path, Node::File(file))?;
            state.files.push(Bytes::default());
            Ok(Box::new(TestFile { disk: self.clone(), file }) as Box<dyn OpenFile>)
        })
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn OpenFile>> {
        self.operation(|state| {
            let file = state.file(path)?;
            Ok(Box::new(TestFile { disk: self.clone(), file }) as Box<dyn OpenFile>)
        })
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.operation(|state| {
            let file = state.file(from)?;
            state.names.remove(from);
            state.names.remove(to);
            state.name(to, Node::File(file))
        })
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.operation(|state| {
            let file = state.file(from)?;
            state.name(to, Node::File(file))?;
            state.names.remove(from);
            Ok(())
        })
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.operation(|state| {
            state.file(path)?;
            state.names.remove(path);
            Ok(())
        })
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.operation(|state| {
            state.lasting_names.retain(|path, _| path.parent() != Some(folder));
            let inside = state.names.iter().filter(|(path, _)| path.parent() == Some(folder));
            state.lasting_names.extend(inside.map(|(path, node)| (path.clone(), node.clone())));
            Ok(())
        })
    }

    fn lock(&self, path: &Path, _owner: &str) -> io::Result<Option<Box<dyn HeldLock>>> {
        self.operation(|state| {
            let is_free = state.locks.insert(path.to_owned());
            let lock = || Box::new(TestLock { disk: self.clone(), path: path.to_owned() }) as Box<dyn HeldLock>;
            Ok(is_free.then(lock))
        })
    }
}

struct TestFile {
    disk: TestDisk,
    file: usize,
}

impl OpenFile for TestFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut state = self.disk.state();
        let fault = next_fault(&mut state);
        let taken = match fault {
            None | Some(Fault::Late) => bytes.len(),
            Some(Fault::Half) => bytes.len() / 2,
            Some(Fault::Nothing | Fault::Gone) => 0,
        };
        state.files[self.file].seen.extend_from_slice(&bytes[..taken]);
        match fault {
            None | Some(Fault::Half) => Ok(taken),
            Some(_) => Err(gone()),
        }
    }

    fn sync(&mut self) -> io::Result<()> {
        self.disk.operation(|state| {
            let file = &mut state.files[self.file];
            file.lasting = file.seen.len();
            Ok(())
        })
    }
}

struct TestLock {
    disk: TestDisk,
    path: PathBuf,
}

impl HeldLock for TestLock {}

impl Drop for TestLock {
    fn drop(&mut self) {
        if let Ok(mut state) = self.disk.0.lock() {
            state.locks.remove(&self.path);
        }
    }
}
