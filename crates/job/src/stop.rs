//! When to go no further: the ladder for a plug that does not turn, and what drained fluid must not look like.

use serde::Serialize;

/// One thing to try on a stubborn plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Rung {
    /// What to try.
    pub try_this: &'static str,
    /// How, and why it helps.
    pub how: &'static str,
    /// When to stop here.
    pub stop_when: &'static str,
}

/// The ladder, gentlest first. Common practice, no source.
pub const LADDER: &[Rung] = &[
    Rung {
        try_this: "Clean the drive and seat the bit",
        how: "Pick and brush the dirt out until the bit goes in to its full depth; tap it home. Most rounded plugs were turned with half a bit.",
        stop_when: "The bit does not reach the bottom, or the drive is rounded already.",
    },
    Rung {
        try_this: "Shock it",
        how: "Three or four firm blows with a hammer on the seated bit, straight along the plug. The blow cracks the film of corrosion that no torque breaks.",
        stop_when: "The case around the plug is plastic or thin, or it rings cracked.",
    },
    Rung {
        try_this: "Penetrating fluid and time",
        how: "Wet the edge of the plug and wait a quarter of an hour, better a night. Wipe it off before there is heat: it burns.",
        stop_when: "The exhaust is still hot.",
    },
    Rung {
        try_this: "Tighten a hair, then loosen",
        how: "A long bar, no joints, pull slowly and square: first a few degrees tighter, then back. Going back and forth works dirt out of the thread.",
        stop_when: "The bit twists, or the drive begins to give.",
    },
    Rung {
        try_this: "Warm the case, not the plug",
        how: "Hot air on the metal around it, too hot to touch but no smoke: aluminium grows about twice as much as steel and lets go. Never a flame: fluid, fuel and seals are near.",
        stop_when: "Plastic, wiring or a fuel line is within a hand's breadth.",
    },
    Rung {
        try_this: "Short bursts of an impact driver",
        how: "Lowest setting, bit fully seated, one second at a time, a look after each.",
        stop_when: "The drive is not whole, or it has had three bursts.",
    },
    Rung {
        try_this: "Grip it another way",
        how: "Extractor, left-hand drill or a nut welded on: only with a new plug on the bench and the customer's word, for the old one is lost then.",
        stop_when: "There is no new plug, or chips could fall into the unit.",
    },
];

/// What holds on every rung.
pub const LADDER_ALWAYS: &str = "Nothing has been drained, so the vehicle still drives. Stop when half an hour has gone, \
     when the case flexes, or when the next rung needs what you do not have: enter “it does not turn”, and the job ends \
     with its reason on paper. A plug that is broken off with the fluid out is a tow.";

/// Something in the drained fluid that ends a service.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DrainStop {
    /// What is seen.
    pub seen: &'static str,
    /// The reason that the job ends with.
    pub reason: &'static str,
}

/// What must be looked for the moment fluid comes out.
pub const DRAIN_STOPS: &[DrainStop] = &[
    DrainStop {
        seen: "Milky or pink: stop",
        reason: "The drained fluid is milky: there is water or coolant in the unit. Do not start the engine. Put the plugs \
                 in, find and mend the leak (cooler first), then flush; friction linings that have taken up water are \
                 lost. New fluid alone mends nothing.",
    },
    DrainStop {
        seen: "Metal to pick up: stop",
        reason: "Pieces of metal came out that can be picked up: something inside has broken. Do not refill and do not \
                 run it. Keep what came out, put the plugs in, and have the unit opened. Grey paste on a magnet is wear \
                 and would be no reason to stop.",
    },
];
