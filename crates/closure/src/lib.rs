//! Maximum closure by minimum cut: which tasks are worth their way in.
