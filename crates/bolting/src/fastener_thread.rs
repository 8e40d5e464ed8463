//! The thread of a fastener: a screw thread, from which loads are reckoned, or a pipe thread, from which none are.

use core::fmt;

use crate::pipe_thread::PipeThread;
use crate::{Thread, ThreadError};

/// The thread of a fastener as a book writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FastenerThread {
    /// Metric or unified.
    Screw(Thread),
    /// Sealing in its thread or on its face.
    Pipe(PipeThread),
}

impl FastenerThread {
    /// Reads any thread: see [`Thread::parse`] and [`PipeThread::parse`].
    ///
    /// # Errors
    /// [`ThreadError`] with the bad text and what to write instead.
    pub fn parse(text: &str) -> Result<Self, ThreadError> {
        match PipeThread::parse(text) {
            Some(pipe) => pipe.map(Self::Pipe),
            None => Thread::parse(text).map(Self::Screw),
        }
    }

    /// The screw thread; `None` for a pipe thread, of which loads are not known.
    #[must_use]
    pub const fn screw(self) -> Option<Thread> {
        match self {
            Self::Screw(thread) => Some(thread),
            Self::Pipe(_) => None,
        }
    }

    /// The pipe thread.
    #[must_use]
    pub const fn pipe(self) -> Option<PipeThread> {
        match self {
            Self::Screw(_) => None,
            Self::Pipe(thread) => Some(thread),
        }
    }

    /// Major diameter.
    #[must_use]
    pub fn d_mm(self) -> f64 {
        match self {
            Self::Screw(thread) => thread.d_mm(),
            Self::Pipe(thread) => thread.d_mm(),
        }
    }

    /// Pitch.
    #[must_use]
    pub fn pitch_mm(self) -> f64 {
        match self {
            Self::Screw(thread) => thread.pitch_mm(),
            Self::Pipe(thread) => thread.pitch_mm(),
        }
    }
}

impl From<Thread> for FastenerThread {
    fn from(thread: Thread) -> Self {
        Self::Screw(thread)
    }
}

impl fmt::Display for FastenerThread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Screw(thread) => thread.fmt(f),
            Self::Pipe(thread) => thread.fmt(f),
        }
    }
}

impl core::str::FromStr for FastenerThread {
    type Err = ThreadError;
    fn from_str(text: &str) -> Result<Self, ThreadError> {
        Self::parse(text)
    }
}
