//! What pages show, as plain words: templates turn these structs into HTML and know nothing else.
//!
//! Every string here is ready to be read by a person; figures are already rounded and carry their unit.

mod decide;
mod film;
mod floor;
mod form;
mod outcome;
mod photo;
mod prepare;
mod settings;
mod sheets;
mod shell;
mod trouble;
mod under;

pub use decide::{AskView, CircuitView, DecideView, LinesView, ReasonView, RulingView, WayView};
pub use film::{ClipView, FilmSheetView, FilmView, GROUNDS};
pub use floor::{FinishedRow, FloorView, JobRow};
pub use form::{Act, Choice, Field, Input, Weight};
pub use outcome::{BudgetLine, FigureView, LedgerLine, OutcomeView, ProofLine, ProofView};
pub use photo::{PhotoView, PhotosView};
pub use prepare::{
    BenchGroup, BenchLine, CardView, CautionView, LabelView, ListView, NeedView, PlugCardView, PlugLine, PrepareView,
    ReckonView, RungView, StockView, StubbornView, TorqueLine,
};
pub use settings::{Pick, PickOf, SettingsView};
pub use sheets::{
    CompareView, DifferenceView, FindingView, FindingsView, PassageView, ProposalView, SheetRow, SheetView, SheetsView,
    SlotView, SlotsView, VersionView,
};
pub use shell::{Demo, JobHead, Page, Shell, Theme};
pub use trouble::{ConfirmView, TroubleView};
pub use under::{
    Band, Banner, BannerKind, Cue, Engine, Flow, Forecast, Live, LogLine, LookView, Mood, OtherAct, PlugOut, PlugShape,
    PlugView, RunoffView, ScaleTick, ScaleView, Side, Under, UnderFragment, UnderView, clock,
};
