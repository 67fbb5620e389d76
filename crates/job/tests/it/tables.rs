//! One whole job for each shipped sheet, written as tables: the same ones go through the domain and through the binary.
//!
//! A line is `m:ss | word | field=value | …`. A job that is needed in parts stands here in parts.

/// From the opening to the moment before the level plug comes out, at 36 °C.
pub const READY: &str = "
    0:00 | level-vehicle | pitch=0.2° | roll=-0.1°
    0:30 | prove | plug=fill
    1:00 | prove | plug=level
    2:00 | open | plug=drain
    12:00 | drained | volume=4.30 L | at=35 °C
    13:00 | residue | volume=0.30 L | at=20 °C
    14:00 | close | plug=drain | torque=25 N·m | new_seal=yes
    15:00 | open | plug=fill
    18:00 | pour | volume=4.00 L | at=20 °C
    20:00 | start-engine
    20:30 | pour | volume=0.80 L | at=20 °C
    21:00 | cycle-selector | nobody_underneath=yes
    22:00 | reading | temperature=24 °C
    24:00 | reading | temperature=29 °C
    26:00 | reading | temperature=33 °C
    28:00 | reading | temperature=36 °C
";

/// From the level plug to the end.
pub const CLOSING: &str = "
    28:10 | open | plug=level
    28:20 | look | flow=stream
    29:00 | look | flow=thin-stream
    29:40 | reading | temperature=39 °C
    30:10 | look | flow=drops | drops_per_min=200
    30:20 | close | plug=level | torque=12 N·m | new_seal=yes
    31:00 | run-off | volume=0.62 L | at=38 °C
    32:00 | close | plug=fill | torque=35 N·m | new_seal=yes
    33:00 | leak-check | result=dry
    50:00 | road-test
";

pub const TWO_STAGE: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0.1°
    0:30 | prove | plug=fill
    1:00 | prove | plug=level
    2:00 | open | plug=drain
    15:00 | drained | volume=5.00 L | at=40 °C
    16:00 | residue | volume=0.40 L | at=20 °C
    17:00 | close | plug=drain | torque=25 N·m | new_seal=yes
    18:00 | open | plug=fill
    20:00 | pour | volume=5.80 L | at=20 °C
    21:00 | start-engine
    21:30 | reading | temperature=24 °C
    22:00 | open | plug=level
    22:10 | look | flow=stream
    23:00 | look | flow=drops
    23:10 | close | plug=level | torque=22 N·m | new_seal=yes
";

pub const TWO_STAGE_HOT: &str = "
    24:00 | cycle-selector | nobody_underneath=yes
    35:00 | reading | temperature=42 °C
    35:10 | open | plug=level
    35:20 | look | flow=thin-stream
    36:00 | look | flow=drops
    36:10 | reading | temperature=44 °C
    36:20 | close | plug=level | torque=22 N·m | new_seal=yes
    37:00 | run-off | volume=0.70 L | at=35 °C
    38:00 | close | plug=fill | torque=35 N·m | new_seal=yes
    39:00 | leak-check | result=dry
    55:00 | road-test
";

pub const DIPSTICK: &str = "
    0:00 | level-vehicle | pitch=0.5° | roll=0°
    0:30 | prove | plug=dipstick
    2:00 | open | plug=drain
    15:00 | drained | volume=3.80 L | at=60 °C
    16:00 | residue | volume=0.30 L | at=20 °C
    17:00 | close | plug=drain | torque=22 N·m | new_seal=yes
    18:00 | open | plug=dipstick
    20:00 | pour | volume=3.70 L | at=20 °C
    21:00 | start-engine
    21:30 | cycle-selector | nobody_underneath=yes
    22:00 | reading | temperature=26 °C
    22:10 | dip | mark=cold | one_side=6 mm | other_side=7 mm
    40:00 | reading | temperature=74 °C
";

pub const DIPSTICK_END: &str = "
    42:00 | rest
    42:10 | reading | temperature=75 °C
    42:20 | dip | mark=hot | one_side=3 mm | other_side=5 mm
    44:00 | close | plug=dipstick
    45:00 | leak-check | result=dry
    59:00 | road-test
";

pub const PROBE: &str = "
    0:00 | level-vehicle | pitch=0° | roll=0°
    0:30 | prove | plug=tube
    2:00 | open | plug=drain
    15:00 | drained | volume=3.60 L | at=50 °C
    16:00 | residue | volume=0.20 L | at=20 °C
    17:00 | close | plug=drain | torque=40 N·m | new_seal=yes
    18:00 | open | plug=tube
    20:00 | pour | volume=3.90 L | at=20 °C
    21:00 | start-engine
    21:30 | cycle-selector | nobody_underneath=yes
    35:00 | reading | temperature=50 °C
";

pub const PROBE_END: &str = "
    35:10 | rest
    35:20 | probe | reading=31 mm
    37:00 | close | plug=tube | new_seal=yes
    38:00 | leak-check | result=dry
";

pub const HOLE: &str = "
    0:00 | level-vehicle | pitch=0.2° | roll=-0.3°
    0:30 | prove | plug=fill
    2:00 | open | plug=drain
    15:00 | drained | volume=1.90 L | at=30 °C
    17:00 | close | plug=drain | torque=45 N·m | new_seal=yes
    18:00 | open | plug=fill
    20:00 | pour | volume=1.95 L | at=20 °C
";

pub const HOLE_END: &str = "
    25:10 | rest
    25:20 | reading | temperature=24 °C
    25:30 | edge | seen=runs
    26:00 | close | plug=fill | torque=45 N·m | new_seal=yes
    27:00 | leak-check | result=dry
    45:00 | road-test
";

pub const PRESSURE: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=port
    2:00 | open | plug=drain
    15:00 | drained | volume=3.20 L | at=40 °C
    17:00 | close | plug=drain | torque=35 N·m | new_seal=yes
    18:00 | open | plug=port
";

pub const PRESSURE_END: &str = "
    18:30 | weigh | when=before | mass=8.420 kg | at=20 °C
    24:00 | weigh | when=after | mass=5.300 kg | at=20 °C
    24:30 | close | plug=port | torque=40 N·m | new_seal=yes
    25:00 | start-engine
    25:30 | cycle-selector | nobody_underneath=yes
    35:00 | reading | temperature=38 °C
    35:10 | open | plug=port
    35:20 | look | flow=stream
    36:30 | look | flow=drops
    36:35 | reading | temperature=39 °C
    36:40 | close | plug=port | torque=40 N·m | new_seal=yes
    37:00 | run-off | volume=0.45 L | at=36 °C
    39:00 | leak-check | result=dry
    55:00 | road-test
";

pub const DRY: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=fill
    1:00 | prove | plug=level
    2:00 | open | plug=fill
    8:00 | pour | volume=5.6 L | at=20 °C
    9:00 | start-engine
";

pub const DRY_SECOND: &str = "9:40 | pour | volume=4.4 L | at=20 °C";

pub const DRY_END: &str = "
    11:00 | cycle-selector | nobody_underneath=yes
    25:00 | reading | temperature=48 °C
    25:10 | open | plug=level
    25:20 | look | flow=stream
    26:30 | look | flow=drops
    26:35 | reading | temperature=49 °C
    26:40 | close | plug=level | torque=24 N·m | new_seal=yes
    27:00 | run-off | volume=0.45 L | at=36 °C
    28:00 | close | plug=fill | torque=45 N·m | new_seal=yes
    29:00 | leak-check | result=dry
    45:00 | road-test
";

pub const SAME_BACK: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=fill
    2:00 | open | plug=drain
";

pub const SAME_BACK_END: &str = "
    15:00 | drained | volume=2.00 L | at=80 °C | how=scale
    17:00 | close | plug=drain | torque=30 N·m | new_seal=yes
    18:00 | open | plug=fill
    20:00 | pour | volume=1.91 L | at=20 °C | how=scale
    21:00 | close | plug=fill | torque=22 N·m | new_seal=yes
    22:00 | leak-check | result=dry
    40:00 | road-test
";

pub const EXTRACTION: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=dipstick
    2:00 | open | plug=dipstick
    12:00 | drained | volume=2.80 L | at=45 °C
    15:00 | pour | volume=2.75 L | at=20 °C
    16:00 | start-engine
    16:30 | cycle-selector | nobody_underneath=yes
    33:00 | reading | temperature=74 °C
    33:10 | rest
    33:20 | dip | mark=hot | one_side=5 mm | other_side=5 mm
    34:00 | close | plug=dipstick
    35:00 | leak-check | result=dry
    50:00 | road-test
";

pub const EXCHANGE: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=fill
    1:00 | prove | plug=level
    2:00 | line | state=open
    5:00 | start-engine
    6:00 | reading | temperature=65 °C
";

pub const EXCHANGE_END: &str = "
    7:00 | exchange | out=4.0 L | out_at=65 °C | in=4.0 L | in_at=20 °C
    7:30 | reading | temperature=62 °C
    9:00 | exchange | out=4.1 L | out_at=62 °C | in=4.0 L | in_at=20 °C
    9:30 | reading | temperature=60 °C
    11:00 | exchange | out=3.9 L | out_at=60 °C | in=4.0 L | in_at=20 °C
    11:30 | stop-engine
    14:00 | line | state=joined
    15:00 | open | plug=fill
    17:00 | pour | volume=0.5 L | at=20 °C
    18:00 | start-engine
    18:30 | cycle-selector | nobody_underneath=yes
    30:00 | reading | temperature=52 °C
    30:10 | open | plug=level
    30:20 | look | flow=stream
    31:30 | look | flow=drops
    31:35 | reading | temperature=53 °C
    31:40 | close | plug=level | torque=22 N·m | new_seal=yes
    32:00 | run-off | volume=0.80 L | at=45 °C
    33:00 | close | plug=fill | torque=35 N·m | new_seal=yes
    34:00 | leak-check | result=dry
    50:00 | road-test
";

pub const SIDE: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0.2°
    0:30 | prove | plug=fill
    1:00 | prove | plug=level
    2:00 | open | plug=drain
    15:00 | drained | volume=2.90 L | at=40 °C
    16:00 | residue | volume=0.30 L | at=20 °C
    17:00 | close | plug=drain | torque=40 N·m | new_seal=yes
    18:00 | open | plug=fill
    20:00 | pour | volume=3.10 L | at=20 °C
    21:00 | start-engine
    21:30 | cycle-selector | nobody_underneath=yes
    35:00 | reading | temperature=52 °C
    35:10 | open | plug=level
";

pub const SIDE_END: &str = "
    35:15 | look | flow=thin-stream
    35:40 | look | flow=nothing
    36:00 | pour | volume=0.20 L | at=20 °C
    36:30 | look | flow=thin-stream
    36:35 | reading | temperature=53 °C
    36:40 | close | plug=level | torque=22 N·m | new_seal=yes
    36:50 | run-off | volume=0.05 L | at=45 °C
    37:00 | close | plug=fill
    38:00 | leak-check | result=dry
";

pub const READOUT: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=fill
    2:00 | open | plug=drain
    15:00 | drained | volume=4.60 L | at=50 °C
    16:00 | residue | volume=0.40 L | at=20 °C
    17:00 | close | plug=drain | torque=25 N·m | new_seal=yes
    18:00 | open | plug=fill
    20:00 | pour | volume=5.00 L | at=20 °C
    21:00 | start-engine
    21:30 | cycle-selector | nobody_underneath=yes
    40:00 | reading | temperature=80 °C
";

pub const READOUT_END: &str = "
    40:10 | rest
    40:20 | readout | value=52
    41:00 | close | plug=fill | torque=35 N·m | new_seal=yes
    42:00 | leak-check | result=dry
";

pub const TWO_CIRCUITS: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=gear-fill
    0:40 | prove | plug=clutch-fill
    0:50 | prove | plug=clutch-level
    2:00 | open | plug=gear-drain
    10:00 | drained | volume=1.70 L | at=30 °C | circuit=gear-side
    11:00 | close | plug=gear-drain | torque=45 N·m | new_seal=yes
    12:00 | open | plug=gear-fill
    14:00 | pour | volume=1.70 L | at=20 °C | circuit=gear-side | fluid=Vexel G-7
    15:00 | close | plug=gear-fill | torque=35 N·m | new_seal=yes
";

pub const TWO_CIRCUITS_END: &str = "
    16:00 | open | plug=clutch-level
    26:00 | drained | volume=3.20 L | at=30 °C | circuit=clutch-side
    27:00 | residue | volume=0.20 L | at=20 °C | circuit=clutch-side
    28:00 | close | plug=clutch-level | torque=45 N·m | new_seal=yes
    29:00 | open | plug=clutch-fill
    31:00 | pour | volume=3.90 L | at=20 °C | circuit=clutch-side | fluid=Vexel C-7
    32:00 | start-engine
    32:30 | cycle-selector | nobody_underneath=yes
    40:00 | reading | temperature=38 °C
    40:10 | open | plug=clutch-level
    40:20 | look | flow=stream
    41:30 | look | flow=drops
    41:35 | reading | temperature=39 °C
    41:40 | close | plug=clutch-level | torque=45 N·m | new_seal=yes
    42:00 | run-off | volume=0.45 L | at=36 °C | circuit=clutch-side
    43:00 | close | plug=clutch-fill | torque=35 N·m | new_seal=yes
    44:00 | leak-check | result=dry
    59:00 | road-test
";

/// The standpipe unit whose level plug is its drain plug too, in a window of 46 to 54.4 °C.
pub const TUBE_OUT: &str = "
    0:00 | level-vehicle | pitch=0.1° | roll=0°
    0:30 | prove | plug=fill
    1:00 | prove | plug=level
    2:00 | open | plug=level
    14:00 | drained | volume=3.90 L | at=35 °C
    15:00 | close | plug=level | torque=24 N·m | new_seal=yes
    16:00 | open | plug=fill
    18:00 | pour | volume=3.50 L | at=20 °C
    19:00 | start-engine
    19:30 | pour | volume=0.95 L | at=20 °C
    20:00 | cycle-selector | nobody_underneath=yes
    34:00 | reading | temperature=48 °C
    34:10 | open | plug=level
    34:20 | look | flow=stream
    35:30 | look | flow=drops
    35:35 | reading | temperature=50 °C
    35:40 | close | plug=level | torque=24 N·m | new_seal=yes
    36:00 | run-off | volume=0.50 L | at=45 °C
    37:00 | close | plug=fill | torque=45 N·m | new_seal=yes
    38:00 | leak-check | result=dry
    55:00 | road-test
";

/// Each shipped sheet with its job, up to the moment before it is finished.
pub const WHOLE: &[(&str, &[&str])] = &[
    ("keld-o6", &[READY, CLOSING]),
    ("torvane-r5", &[TUBE_OUT]),
    ("ostrel-t8", &[TWO_STAGE, TWO_STAGE_HOT]),
    ("marrow-d4", &[DIPSTICK, DIPSTICK_END]),
    ("lunde-v1", &[PROBE, PROBE_END]),
    ("vexel-e9", &[READOUT, READOUT_END]),
    ("brask-h4", &[SIDE, SIDE_END]),
    ("keld-m6", &[HOLE, HOLE_END]),
    ("brask-p7", &[PRESSURE, PRESSURE_END]),
    ("torvane-r5-dry", &[DRY, DRY_SECOND, DRY_END]),
    ("sollin-w6", &[SAME_BACK, SAME_BACK_END]),
    ("ostrel-l6", &[EXCHANGE, EXCHANGE_END]),
    ("lunde-s5", &[EXTRACTION]),
    ("vexel-k7", &[TWO_CIRCUITS, TWO_CIRCUITS_END]),
];
