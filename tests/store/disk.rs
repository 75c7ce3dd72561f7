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

impl Fault {
    pub const ALL: [Self; 4] = [Self::Nothing, Self::Late, Self::Half, Self::Gone];
}

#[derive(Clone, PartialEq, Eq)]
enum Node {
    Folder,
    File(usize),
}

type Names = BTreeMap<PathBuf, Node>;

#[derive(Clone, Default)]
struct Bytes {
    seen: Vec<u8>,
    lasting: usize,
}

#[derive(Default)]
struct State {
    names: Names,
    lasting_names: Names,
    /// The names after each operation on one since, oldest first: what of them has lasted is one of these.
    since: Vec<Names>,
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
        state.since.clear();
    }

    /// Everything that a crash at this moment can leave, each a disk of its own on which nothing fails: first what a
    /// process finds that takes over from one that died, where what was not synced can still be lost; then, for a power
    /// cut, the names up to each operation on one that was not synced (so with the entry in its folder and without), each
    /// with only the synced bytes, with half of the others, and with all.
    pub fn images(&self) -> Vec<(String, Arc<Self>)> {
        let state = self.state();
        let mut images = vec![("the process died".to_owned(), state.taken_over())];
        for (at, names) in std::iter::once(&state.lasting_names).chain(&state.since).enumerate() {
            for (bytes, kept) in KEPT {
                let left = state.left(&reachable(names), kept);
                if images.iter().all(|(_, known)| known.shown() != left.shown()) {
                    images.push((format!("power cut, {at} names beyond the synced, {bytes}"), left));
                }
            }
        }
        images.into_iter().map(|(what, state)| (what, Arc::new(Self(Arc::new(Mutex::new(state)))))).collect()
    }

    /// The worst power cut: only synced bytes under synced names.
    pub fn power_cut(&self) -> Arc<Self> {
        let state = self.state();
        Arc::new(Self(Arc::new(Mutex::new(state.left(&reachable(&state.lasting_names), |file| file.lasting)))))
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

/// How much of a file a power cut leaves.
type Kept = fn(&Bytes) -> usize;

const KEPT: [(&str, Kept); 3] = [
    ("synced bytes only", |file| file.lasting),
    ("half of the other bytes", |file| file.lasting + (file.seen.len() - file.lasting).div_ceil(2)),
    ("all bytes", |file| file.seen.len()),
];

/// The names whose folders are all there.
fn reachable(names: &Names) -> Names {
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
        self.since.push(self.names.clone());
        Ok(())
    }

    /// The state after a crash that leaves these names, and of each file as many bytes as `kept` says.
    fn left(&self, names: &Names, kept: impl Fn(&Bytes) -> usize) -> Self {
        let left = |file: &Bytes| Bytes { seen: file.seen[..kept(file)].to_vec(), lasting: kept(file) };
        let files = self.files.iter().map(left).collect();
        Self { lasting_names: names.clone(), names: names.clone(), files, ..Self::default() }
    }

    /// The state as another process finds it.
    fn taken_over(&self) -> Self {
        let (names, lasting_names) = (self.names.clone(), self.lasting_names.clone());
        let (since, files) = (self.since.clone(), self.files.clone());
        Self { names, lasting_names, since, files, ..Self::default() }
    }

    /// Every name, with its bytes where it is that of a file.
    fn shown(&self) -> BTreeMap<&Path, Option<&[u8]>> {
        let bytes = |node: &Node| match node {
            Node::Folder => None,
            Node::File(file) => Some(self.files[*file].seen.as_slice()),
        };
        self.names.iter().map(|(path, node)| (path.as_path(), bytes(node))).collect()
    }
}

/// Brings the entries of one folder up to date.
fn settle(names: &mut Names, now: &Names, folder: &Path) {
    names.retain(|path, _| path.parent() != Some(folder));
    let inside = now.iter().filter(|(path, _)| path.parent() == Some(folder));
    names.extend(inside.map(|(path, node)| (path.clone(), node.clone())));
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
            match state.names.get(to) {
                Some(Node::Folder) => return Err(io::ErrorKind::IsADirectory.into()),
                _ => state.names.remove(to),
            };
            state.names.remove(from);
            state.name(to, Node::File(file))
        })
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.operation(|state| {
            let file = state.file(from)?;
            state.name(to, Node::File(file))?;
            state.names.remove(from);
            state.since.push(state.names.clone());
            Ok(())
        })
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.operation(|state| {
            state.file(path)?;
            state.names.remove(path);
            state.since.push(state.names.clone());
            Ok(())
        })
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.operation(|state| {
            let State { names, lasting_names, since, .. } = state;
            since.iter_mut().chain([lasting_names]).for_each(|old| settle(old, names, folder));
            since.dedup();
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
