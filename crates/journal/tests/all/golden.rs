//! Tests to come here.
