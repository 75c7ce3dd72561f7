//! What a connected scale says, and when a reading counts. Text and bytes in, weights out: no port is accessed here.
//!
//! | way | what it is | asked for a weight |
//! |---|---|---|
//! | [`ScaleKind::Commands`] | the standard interface command set of laboratory scales, as published | `SI` until stable |
//! | [`ScaleKind::Lines`] | lines of text by a pattern the user gives | by a text, if the scale needs one |
//! | [`ScaleKind::Usb`] | data reports of the USB-IF HID Point of Sale usage tables, page 0x8D | reports come unasked |
//!
//! [`Talk`] turns what arrives into [`Sight`]s, and a [`ScaleWatch`] waits until one of them can be taken.

mod commands;
mod lines;
mod report;
mod setup;
mod talk;
mod watch;

use rust_decimal::Decimal;

use crate::quantity::{MassUnit, Notation};

pub use setup::{Parity, ScaleKind, Setup, check};
pub use talk::Talk;
pub use watch::{ScaleRefusal, ScaleVerdict, ScaleWatch};

/// A weight exactly as displayed; negative if the scale is below its zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ScaleAmount {
    /// The number, with as many decimals as the scale shows.
    pub value: Decimal,
    /// Its unit.
    pub unit: MassUnit,
}

impl ScaleAmount {
    /// As a user would type it: `3.600 kg`.
    #[must_use]
    pub fn show(&self, notation: Notation) -> String {
        format!("{} {}", notation.show(self.value), self.unit)
    }
}

/// The state of a scale at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// It reports being stable.
    Stable,
    /// It reports motion.
    Moving,
    /// It reports neither.
    Unsaid,
    /// Overloaded.
    Over,
    /// Below its zero.
    Under,
    /// It cannot weigh at the moment.
    Busy,
    /// It has carried out an order.
    Done,
    /// It reports a fault.
    Fault,
}

/// A scale's output at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sight {
    /// Its state.
    pub state: State,
    /// The weight, if it shows one.
    pub amount: Option<ScaleAmount>,
}

impl Sight {
    /// A state without a weight.
    pub(crate) const fn bare(state: State) -> Sight {
        Sight { state, amount: None }
    }
}
