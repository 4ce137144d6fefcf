//! Remedies as buttons: what can be done about a finding, in words and as an edit of the plan.

use std::cell::RefCell;
use std::collections::BTreeMap;

use apoyando_book::edit::{
    Allowed, Command, Edit, ItemPlace, Meant, NotePlace, Player, Remark, Revision, Spot,
};
use apoyando_book::{BarRange, Item, ItemKind, PlannedPin, PlannedScope};
use apoyando_fingering::{
    Allowance, BarreLimit, Finding, LeftFinger, Pin, PinRule, PlanSpot, Remedy, Severity,
};
use apoyando_handout::escaped;
use apoyando_hands::in_words;
use apoyando_music::{NoteId, PartIndex};
use apoyando_workshop::BuiltItem;
use apoyando_workshop::pins::planned;

use crate::bench::Bench;
use crate::note::place_of;
use crate::remarks::part_named;

/// So many positions are offered for an exercise.
const POSITIONS: usize = 3;
/// So many notes are offered for a pin that may mean any of them.
const NOTES: usize = 6;

/// Something that can be done about a finding.
pub struct Offer {
    /// What it is called on its button.
    label: String,
    /// What is sent when it is taken.
    edit: Edit,
    /// Where one of several words is to be chosen first.
    words: Vec<String>,
}

/// The revisions of files that were asked for.
#[derive(Default)]
pub struct Revisions(RefCell<BTreeMap<String, Option<Revision>>>);

impl Revisions {
    /// That of a file; `None` if it cannot be read.
    fn of(&self, bench: &Bench, file: &str) -> Option<Option<Revision>> {
        if let Some(known) = self.0.borrow().get(file) {
            return Some(*known);
        }
        let revision = bench.revision(file).ok()?;
        self.0.borrow_mut().insert(file.to_owned(), revision);
        Some(revision)
    }
}

/// What a finding is about.
#[derive(Clone, Copy)]
pub struct About<'a> {
    /// The revisions of the files, each read once.
    pub read: &'a Revisions,
    /// The bench that the book lies on.
    pub bench: &'a Bench,
    /// The item with music, by its number in the book; `None` for what was not made.
    pub item: Option<usize>,
}

impl About<'_> {
    fn built(&self) -> Option<&BuiltItem> {
        self.bench.item(self.item?).map(|built| &**built)
    }

    /// What the plan says of an item that was made.
    pub fn in_plan(&self, built: &BuiltItem) -> Option<&Item> {
        let mut sections = self.bench.book()?.sections.iter();
        sections.find(|section| section.name == built.section)?.items.get(built.index)
    }

    /// The item in the plan that a finding is about, and its place there.
    fn planned(&self, finding: &Finding) -> Option<(&Item, ItemPlace)> {
        let sections = &self.bench.book()?.sections;
        let place = |section: &str, item: usize| ItemPlace { section: section.to_owned(), item };
        if let Some(built) = self.built() {
            return Some((self.in_plan(built)?, place(&built.section, built.index)));
        }
        let (file, line) = (finding.place.file.as_deref()?, finding.place.line?);
        sections.iter().find_map(|section| {
            let at = section
                .items
                .iter()
                .position(|item| &*item.place.file == file && item.place.line == line)?;
            Some((&section.items[at], place(&section.name, at)))
        })
    }

    fn note(&self, note: NoteId) -> Option<NotePlace> {
        place_of(&self.built()?.score, note)
    }

    /// All that can be done about a finding by an edit.
    pub fn offers(&self, finding: &Finding) -> Vec<Offer> {
        let mut offers: Vec<Offer> = finding
            .remedies
            .iter()
            .flat_map(|remedy| self.of_remedy(finding, remedy))
            .take(NOTES)
            .collect();
        // What is no error may be meant so.
        if finding.severity < Severity::Error
            && self.item.is_some()
            && let Some((_, at)) = self.planned(finding)
        {
            let command = Command::Seen { at, remark: remark_of(finding) };
            offers.extend(self.offer("Let it stand", command));
        }
        offers
    }

    fn offer(&self, label: impl Into<String>, command: Command) -> Option<Offer> {
        let base = self.read.of(self.bench, &command.file())?;
        Some(Offer { label: label.into(), edit: Edit { base, command }, words: Vec::new() })
    }

    fn of_remedy(&self, finding: &Finding, remedy: &Remedy) -> Vec<Offer> {
        let part = self.built().and_then(|built| part_named(built, finding.place.part.as_deref()));
        match remedy {
            Remedy::InPosition(positions) => {
                let Some((_, at)) = self.planned(finding) else { return Vec::new() };
                let each = positions.iter().take(POSITIONS).filter_map(|position| {
                    let keys = vec![("position".to_owned(), position.to_string())];
                    let command = Command::Change { at: at.clone(), keys };
                    self.offer(format!("Write it in {position}"), command)
                });
                each.collect()
            }
            Remedy::ChooseFile(spot, folder) => self.choose_file(finding, *spot, folder),
            _ => self.one(finding, remedy, part).into_iter().collect(),
        }
    }

    fn one(&self, finding: &Finding, remedy: &Remedy, part: Option<PartIndex>) -> Option<Offer> {
        let here = || finding.place.file.clone();
        match remedy {
            Remedy::Allow(allowance) => {
                let (item, at) = self.planned(finding)?;
                let player = match (&item.kind, part) {
                    (ItemKind::Duet(..), Some(PartIndex(0))) => Some(Player::Student),
                    (ItemKind::Duet(..), Some(_)) => Some(Player::Teacher),
                    _ => None,
                };
                let whole = match item.kind {
                    ItemKind::Solo(_) | ItemKind::Duet(..) => "piece",
                    _ => "exercise",
                };
                let (what, allowed) = allowed(*allowance);
                let label = format!("Allow {what} in this {whole}");
                self.offer(label, Command::Allow { at, player, allowed })
            }
            Remedy::Release(pin) => self.release(finding, pin, part?),
            Remedy::PinLike { tone, likes } => {
                let built = self.built()?;
                let tones = built.score.tones(part.unwrap_or(PartIndex(0)));
                let head = |tone| self.note(tones.get(tone).head());
                let likes: Vec<NotePlace> = likes.iter().filter_map(|tone| head(*tone)).collect();
                let bars: Vec<String> = likes.iter().map(|like| like.bar.to_string()).collect();
                let bar = if bars.len() == 1 { "bar" } else { "bars" };
                let label = format!("Pin it in {bar} {} too", bars.join(", "));
                let (_, at) = self.planned(finding)?;
                self.offer(label, Command::PinLike { at, note: head(*tone)?, likes })
            }
            Remedy::LikeBars => {
                self.offer("Let pins hold in like bars, in the whole book", Command::LikeBars)
            }
            Remedy::TakeOut(spot) => {
                let what = match finding.rule {
                    rule if rule.starts_with("pin") => "Take the pin out",
                    rule if rule.starts_with("nudge") => "Let the sign stand where it falls",
                    _ => "Take the break out",
                };
                self.offer(what, Command::TakeOut { file: here()?, spot: at(*spot), keys: vec![] })
            }
            Remedy::MeansNote(spot, note) => {
                let place = self.note(*note)?;
                let said = apoyando_handout::spoken(self.built()?, *note);
                let said = said.split(':').next().unwrap_or_default();
                let label = format!("It means {said}");
                let meant = Meant::Note(place);
                self.offer(label, Command::Means { file: here()?, spot: at(*spot), meant })
            }
            Remedy::MeansBars(spot, first, last) => {
                let score = &self.built()?.score;
                let [first, last] = [first, last].map(|bar| score.bar(*bar).number);
                let bars = BarRange { first, last };
                let label = format!("It means {}", bars.in_words());
                let meant = Meant::Bars(bars.to_string());
                self.offer(label, Command::Means { file: here()?, spot: at(*spot), meant })
            }
            Remedy::OfKind(kind) => {
                let (_, at) = self.planned(finding)?;
                let keys = vec![("kind".to_owned(), (*kind).to_owned())];
                self.offer(format!("Make it a {kind}"), Command::Change { at, keys })
            }
            Remedy::EveryNote => {
                let (_, at) = self.planned(finding)?;
                let keys = vec![("density".to_owned(), "every-note".to_owned())];
                self.offer("Print fingering at every note", Command::Change { at, keys })
            }
            Remedy::Advise(sentence) => {
                let (_, at) = self.planned(finding)?;
                let (sentence, remark) = (sentence.clone(), remark_of(finding));
                let command = Command::Advise { at, sentence, remark };
                self.offer("Print this advice for the student", command)
            }
            Remedy::InPosition(_) | Remedy::ChooseFile(..) => None,
        }
    }

    /// Takes back what an author decided. What holds only because a like bar has it, or was
    /// in the file of the piece, is not taken back here.
    fn release(&self, finding: &Finding, pin: &Pin, part: PartIndex) -> Option<Offer> {
        let (item, _) = self.planned(finding)?;
        let pinned = planned(&self.built()?.score, part, &item.pins, pin)?;
        self.take_back(pinned)
    }

    /// Takes a pin of the plan back.
    fn take_back(&self, pinned: &PlannedPin) -> Option<Offer> {
        let rule = apoyando_workshop::pins::rule(pinned.rule);
        let place = &pinned.place;
        let spot = Spot { line: place.line, column: place.column };
        let keys: &[&str] = match rule {
            PinRule::LeftFingers(_) => &["finger", "not-finger"],
            PinRule::SecondFingers(_) => &["second-finger"],
            PinRule::Strings(_) => &["string", "not-string"],
            PinRule::Frets(_) => &["fret", "not-fret"],
            PinRule::RightFingers(_) => &["right"],
            PinRule::Positions(_) | PinRule::Barre(_) => &[],
        };
        let keys = keys.iter().map(|key| (*key).to_owned()).collect();
        let over = match &pinned.scope {
            PlannedScope::Note(_) => String::new(),
            PlannedScope::Bars(bars) => format!(", {}", bars.in_words()),
        };
        let label = format!("Take back “{}{over}”", in_words(&rule));
        self.offer(label, Command::TakeOut { file: place.file.to_string(), spot, keys })
    }

    /// What was decided about the bars around a note, as buttons that take it back.
    pub fn over_bars(&self, part: PartIndex, bar: u32) -> String {
        let own = self.built().and_then(|built| self.in_plan(built));
        let over = own.into_iter().flat_map(|item| &item.pins).filter(|pin| match &pin.scope {
            PlannedScope::Bars(bars) => {
                (bars.first..=bars.last).contains(&bar) && pin.part == part.0 + 1
            }
            PlannedScope::Note(_) => false,
        });
        let offers = over.filter_map(|pin| self.take_back(pin));
        let buttons: Vec<String> = offers.map(|offer| offer.button("")).collect();
        if buttons.is_empty() {
            return String::new();
        }
        format!(
            "<p class=\"decided\">Decided about these bars: <span class=\"remedies\">{}</span></p>",
            buttons.join(" ")
        )
    }

    fn choose_file(&self, finding: &Finding, spot: PlanSpot, folder: &str) -> Vec<Offer> {
        let Some(file) = finding.place.file.clone() else { return Vec::new() };
        let files = self.bench.files();
        let names = files.iter().filter_map(|name| name.strip_prefix(folder)?.strip_prefix('/'));
        let words: Vec<String> =
            names.filter(|name| !name.ends_with(".pins.toml")).map(str::to_owned).collect();
        let Some(first) = words.first().cloned() else { return Vec::new() };
        let command = Command::Word { file, spot: at(spot), word: first };
        let offer = self.offer("Use this file", command);
        offer.into_iter().map(|offer| Offer { words: words.clone(), ..offer }).collect()
    }
}

impl Offer {
    /// The button, and what is to be chosen before.
    fn shown(&self, finding: &Finding) -> String {
        self.button(&finding.place.bar.map(|bar| format!(", bar {bar}")).unwrap_or_default())
    }

    fn button(&self, place: &str) -> String {
        #[derive(serde::Serialize)]
        struct Asked<'a> {
            said: String,
            #[serde(flatten)]
            edit: &'a Edit,
        }
        let said = format!("{}{place}", self.label);
        let asked = Asked { said, edit: &self.edit };
        // What cannot be written as JSON is not offered.
        let Ok(asked) = serde_json::to_string(&asked) else { return String::new() };
        let button = format!(
            "<button type=\"button\" class=\"remedy\" data-edit=\"{}\">{}</button>",
            escaped(&asked),
            escaped(&self.label)
        );
        if self.words.is_empty() {
            return button;
        }
        let options: String =
            self.words.iter().map(|word| format!("<option>{}</option>", escaped(word))).collect();
        format!(
            "<label class=\"choose\">A file that is there <select>{options}</select></label>{button}"
        )
    }
}

/// All offers for a finding, as buttons.
pub fn buttons(about: About<'_>, finding: &Finding) -> String {
    let offers = about.offers(finding);
    offers.iter().map(|offer| offer.shown(finding)).collect::<Vec<String>>().join(" ")
}

const fn at(spot: PlanSpot) -> Spot {
    Spot { line: spot.line, column: spot.column }
}

fn remark_of(finding: &Finding) -> Remark {
    let place = &finding.place;
    Remark {
        rule: finding.rule.to_owned(),
        part: place.part.clone(),
        bar: place.bar,
        beat: place.beat.clone(),
    }
}

/// An allowance in words and as the plan has it.
fn allowed(allowance: Allowance) -> (String, Allowed) {
    match allowance {
        Allowance::Barre(limit) => {
            let (what, word) = match limit {
                BarreLimit::None | BarreLimit::Small => ("a barre over two strings", "small"),
                BarreLimit::Half => ("a barre over four strings", "half"),
                BarreLimit::Full => ("any barre", "full"),
            };
            (what.to_owned(), Allowed::Barre(word.to_owned()))
        }
        Allowance::HighestFret(fret) => {
            (format!("frets up to {fret}"), Allowed::HighestFret(fret.0))
        }
        Allowance::Position(position) => {
            (format!("position {position}"), Allowed::Position(position.to_string()))
        }
        Allowance::Finger(None) => ("open strings".to_owned(), Allowed::Finger(0)),
        Allowance::Finger(Some(finger)) => {
            (format!("finger {finger}"), Allowed::Finger(LeftFinger::digit(finger)))
        }
        Allowance::Extension(frets) => {
            let frets_in_words =
                if frets == 1 { "one fret".to_owned() } else { format!("{frets} frets") };
            (format!("an extension of {frets_in_words}"), Allowed::Extension(frets))
        }
        Allowance::Substitution => {
            ("a finger that takes a note over".to_owned(), Allowed::Substitution)
        }
    }
}
