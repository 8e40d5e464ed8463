//! Judges any plan from book, store and plan alone; shares no solver code.
