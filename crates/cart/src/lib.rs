//! Job sequencing and tool switching on a cart of limited places.
