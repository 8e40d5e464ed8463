//! Set cover and AND-OR kits to a proven optimum.
