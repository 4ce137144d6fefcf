//! Cases worked out by hand on paper for the rules and terms of the model. Frets
//! on a scale of 650 mm lie at 365, 709, 1034, 1341, 1631, 1904, 2162, 2405,
//! 2635, 2852, 3057 and 3250 tenths from the nut (rule of twelfth roots).

mod barres;
mod endings;
mod kit;
mod moves;
mod music;
mod physics;
mod postures;
mod rules;
mod seams;
mod search;
mod shifts;
mod slurs;
mod ties;
