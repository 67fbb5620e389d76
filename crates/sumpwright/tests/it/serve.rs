//! The server as a process: where it listens, how it refuses, how it stops.
