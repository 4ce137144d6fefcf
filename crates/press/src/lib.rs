//! Document tree and drawings to pages, PDF and PNG
