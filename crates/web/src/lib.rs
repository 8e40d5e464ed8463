//! The bench pages: one server for the phones and tablets of the workshop.
