//! Checks of this subject against figures from outside the project.
