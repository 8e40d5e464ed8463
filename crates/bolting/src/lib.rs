//! Threads, property classes, torque and preload, wrench settings.
