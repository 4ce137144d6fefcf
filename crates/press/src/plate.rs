//! A plate: a drawing at its printed size, as native shapes and text runs.

use std::fmt;
use std::hash::{Hash, Hasher};
use std::sync::LazyLock;

use apoyando_engrave::{self as engrave, Drawing, Face, Ink, Outline};
use typst::ecow::EcoString;
use typst::syntax::Span;
use typst_library::diag::SourceResult;
use typst_library::engine::Engine;
use typst_library::foundations::{
    Content, NativeElement, NativeType, NativeTypeData, Packed, Repr, Scope, Smart, StyleChain,
    Value,
};
use typst_library::introspection::{Locator, MetadataElem};
use typst_library::layout::{Abs, BlockElem, Frame, FrameItem, Point, Region, Size};
use typst_library::model::{FigureElem, FigureKind};
use typst_library::text::Lang;
use typst_library::visualize::{
    Color, Curve, DashPattern, FillRule, FixedStroke, Geometry, LineCap, Paint, Shape,
};
use typst_utils::DefSite;

use crate::faces::faces;
use crate::layers::layers;
use crate::runs::{self, Placed};

/// A finished plate. It travels to the typesetter as a value of its own type
/// and is put on the page as it is.
#[derive(Clone)]
pub struct Plate(Frame);

impl Plate {
    /// The drawing with staff spaces of so many points.
    ///
    /// Every length of the drawing must be a number; the caller has checked.
    pub fn new(drawing: &Drawing, space: f64, lang: Lang) -> Self {
        let press = Press { space, above: drawing.above.0 * space, lang };
        let Self(mut frame) = Self::blank(drawing, space);
        press.print(drawing, &mut frame);
        Self(frame)
    }

    /// White of the same size.
    pub fn blank(drawing: &Drawing, space: f64) -> Self {
        let size = Size::new(
            Abs::pt(drawing.width.0.max(0.0) * space),
            Abs::pt(drawing.height().0.max(0.0) * space),
        );
        Self(Frame::hard(size))
    }

    /// What is on it.
    pub fn into_frame(self) -> Frame {
        self.0
    }

    /// The plate as a figure with a text for those who cannot see it.
    pub fn into_figure(self, description: &str) -> Content {
        let captured = Packed::new(MetadataElem::new(Value::dynamic(self)));
        let block = BlockElem::single_layouter(captured, lay).pack();
        let words = if description.trim().is_empty() { "Music" } else { description };
        FigureElem::new(block)
            .with_alt(Some(words.into()))
            .with_kind(Smart::Custom(FigureKind::Name("plate".into())))
            .with_supplement(Smart::Custom(None))
            .with_numbering(None)
            .with_outlined(false)
            .pack()
    }
}

fn lay(
    elem: &Packed<MetadataElem>,
    _: &mut Engine,
    _: Locator,
    _: StyleChain,
    _: Region,
) -> SourceResult<Frame> {
    Ok(match &elem.value {
        Value::Dyn(value) => value.downcast::<Plate>().map(|plate| plate.0.clone()),
        _ => None,
    }
    .unwrap_or_default())
}

struct Press {
    /// Points in a staff space.
    space: f64,
    /// Points from the upper edge down to y = 0.
    above: f64,
    lang: Lang,
}

/// Glyphs that can share a text run.
struct Case {
    layer: usize,
    /// `None` is the music font.
    face: Option<Face>,
    /// Points.
    size: f64,
    placed: Vec<Placed>,
}

/// Strokes that can share a path.
struct Ruling {
    layer: usize,
    thickness: f64,
    dash: Option<(f64, f64)>,
    curve: Curve,
}

impl Press {
    fn at(&self, point: engrave::Point) -> Point {
        Point::new(Abs::pt(point.x.0 * self.space), Abs::pt(self.above - point.y.0 * self.space))
    }

    fn print(&self, drawing: &Drawing, frame: &mut Frame) {
        let inks: Vec<&Ink> = drawing.stains.iter().map(|stain| &stain.ink).collect();
        let layer_of = layers(&inks);
        let mut rulings: Vec<Ruling> = Vec::new();
        let mut cases: Vec<Case> = Vec::new();
        for (ink, &layer) in inks.iter().zip(&layer_of) {
            match ink {
                Ink::Line { from, to, thickness, dash } => {
                    let thickness = thickness.0 * self.space;
                    let dash = dash.map(|(on, off)| (on.0 * self.space, off.0 * self.space));
                    let same = rulings.iter_mut().find(|ruling| {
                        (ruling.layer, ruling.thickness, ruling.dash) == (layer, thickness, dash)
                    });
                    let ruling = match same {
                        Some(ruling) => ruling,
                        None => {
                            rulings.push(Ruling { layer, thickness, dash, curve: Curve::new() });
                            rulings.last_mut().expect("just pushed")
                        }
                    };
                    ruling.curve.move_(self.at(*from));
                    ruling.curve.line(self.at(*to));
                }
                Ink::Glyph { glyph, scale, at } => {
                    let size = 4.0 * scale * self.space;
                    let (x, y) = (at.x.0 * self.space, at.y.0 * self.space);
                    if size > 0.0 {
                        let placed = runs::music_glyph(*glyph, size, x, y);
                        compose(&mut cases, layer, None, size, placed.into_iter().collect());
                    }
                }
                Ink::Text { text, face, size, at, width } => {
                    let size = size.0 * self.space;
                    if size > 0.0 {
                        let (x, y) = (at.x.0 * self.space, at.y.0 * self.space);
                        let width = width.0 * self.space;
                        for (face, placed) in runs::words(text, *face, size, width, x, y) {
                            compose(&mut cases, layer, Some(face), size, placed);
                        }
                    }
                }
                Ink::Shape(_) | Ink::Circle { .. } | Ink::Halo { .. } => {}
            }
        }
        for layer in 0..=layer_of.iter().copied().max().unwrap_or(0) {
            let here = || inks.iter().zip(&layer_of).filter(|(_, l)| **l == layer).map(|(i, _)| *i);
            for ink in here() {
                if let Ink::Halo { low, high } = ink {
                    self.halo(frame, *low, *high);
                }
            }
            for ruling in rulings.iter().filter(|ruling| ruling.layer == layer) {
                rule(frame, ruling);
            }
            for ink in here() {
                match ink {
                    Ink::Shape(steps) => self.shape(frame, steps),
                    Ink::Circle { centre, radius, ring } => {
                        self.circle(frame, *centre, radius.0, ring.map(|ring| ring.0));
                    }
                    _ => {}
                }
            }
            for case in cases.iter().filter(|case| case.layer == layer) {
                let font = match case.face {
                    Some(face) => faces().of(face),
                    None => &faces().music,
                };
                runs::set(frame, font, case.size, self.lang, self.above, &case.placed);
            }
        }
    }

    fn halo(&self, frame: &mut Frame, low: engrave::Point, high: engrave::Point) {
        let corner = self.at(engrave::Point { x: low.x.min(high.x), y: low.y.max(high.y) });
        let size = Size::new(
            Abs::pt((high.x.0 - low.x.0).abs() * self.space),
            Abs::pt((high.y.0 - low.y.0).abs() * self.space),
        );
        let shape = Geometry::Rect(size).filled(Color::WHITE);
        frame.push(corner, FrameItem::Shape(shape, Span::detached()));
    }

    fn shape(&self, frame: &mut Frame, steps: &[Outline]) {
        let mut curve = Curve::new();
        for step in steps {
            match *step {
                Outline::Move(p) => curve.move_(self.at(p)),
                Outline::Line(p) => curve.line(self.at(p)),
                Outline::Curve(a, b, c) => curve.cubic(self.at(a), self.at(b), self.at(c)),
                Outline::Close => curve.close(),
            }
        }
        if !curve.is_empty() {
            let shape = Geometry::Curve(curve).filled(Color::BLACK);
            frame.push(Point::zero(), FrameItem::Shape(shape, Span::detached()));
        }
    }

    fn circle(&self, frame: &mut Frame, centre: engrave::Point, radius: f64, ring: Option<f64>) {
        let radius = Abs::pt(radius.abs() * self.space);
        let corner = self.at(centre) - Point::splat(radius);
        let mut curve = Curve::ellipse(Size::splat(radius * 2.0));
        curve.close();
        let geometry = Geometry::Curve(curve);
        let shape = match ring {
            Some(ring) => geometry
                .stroked(FixedStroke::from_pair(Color::BLACK, Abs::pt(ring.abs() * self.space))),
            None => geometry.filled(Color::BLACK),
        };
        frame.push(corner, FrameItem::Shape(shape, Span::detached()));
    }
}

fn compose(
    cases: &mut Vec<Case>,
    layer: usize,
    face: Option<Face>,
    size: f64,
    placed: Vec<Placed>,
) {
    let same = |case: &&mut Case| (case.layer, case.face, case.size) == (layer, face, size);
    match cases.iter_mut().find(same) {
        Some(case) => case.placed.extend(placed),
        None => cases.push(Case { layer, face, size, placed }),
    }
}

fn rule(frame: &mut Frame, ruling: &Ruling) {
    let stroke = FixedStroke {
        paint: Paint::Solid(Color::BLACK),
        thickness: Abs::pt(ruling.thickness),
        cap: LineCap::Butt,
        dash: ruling.dash.filter(|(on, off)| *on > 0.0 && *off > 0.0).map(|(on, off)| {
            DashPattern { array: vec![Abs::pt(on), Abs::pt(off)], phase: Abs::zero() }
        }),
        ..FixedStroke::default()
    };
    let shape = Shape {
        geometry: Geometry::Curve(ruling.curve.clone()),
        fill: None,
        fill_rule: FillRule::NonZero,
        stroke: Some(stroke),
    };
    frame.push(Point::zero(), FrameItem::Shape(shape, Span::detached()));
}

impl fmt::Debug for Plate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Plate({:?})", self.0.size())
    }
}

impl Repr for Plate {
    fn repr(&self) -> EcoString {
        "plate".into()
    }
}

impl Hash for Plate {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.hash(state);
    }
}

impl PartialEq for Plate {
    fn eq(&self, other: &Self) -> bool {
        typst_utils::hash128(&self.0) == typst_utils::hash128(&other.0)
    }
}

impl NativeType for Plate {
    const NAME: &'static str = "plate";

    fn data() -> &'static NativeTypeData {
        static DATA: NativeTypeData = NativeTypeData {
            name: Plate::NAME,
            long_name: "plate",
            title: "Plate",
            docs: "A finished drawing.",
            def_site: DefSite { path: file!(), key: "Plate" },
            keywords: &[],
            constructor: LazyLock::new(|| None),
            scope: LazyLock::new(Scope::new),
        };
        &DATA
    }
}
