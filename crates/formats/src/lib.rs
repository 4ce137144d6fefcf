//! MusicXML and ABC, read and written
