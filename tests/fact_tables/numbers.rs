//! The code tables that are arithmetic: every code of the field, in whole numbers worked out here.
