//! The conductor: book to scores to fingerings to drawings
