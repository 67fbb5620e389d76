//! `runoff`: run-off through the standpipe.

use physics::expansion::expansion_flow;
use physics::runoff::{
    Bracket, DrainBack, RunOff, RunOffForecast, STREAM_BREAKS, Scale, Warming, Watched, job_scale, pooled_scale,
    run_off,
};
use physics::viscosity::ViscosityLine;
use quantity::print::{self, Units};
use quantity::{Duration, Flow, KinematicViscosity, Temperature, TemperatureRate, Uncertain, Volume};
use serde_json::{Value, json};

use crate::args::{FluidArgs, maybe, one, typical_fluid, viscosity};
use crate::print::{Answer, Fault, list, rows};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Surplus above the lip when the plug is opened
    #[arg(long, value_name = "VOLUME")]
    surplus: String,
    /// Bore of the standpipe
    #[arg(long, value_name = "LENGTH")]
    bore: String,
    /// Free surface of the fluid in the sump
    #[arg(long, value_name = "AREA")]
    sump_area: String,
    /// Fluid temperature
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    temperature: String,
    /// How fast it warms: "1.8 °C/min"
    #[arg(long, value_name = "RATE", requires = "charge", allow_hyphen_values = true)]
    rate: Option<String>,
    /// All fluid that warms
    #[arg(long, value_name = "VOLUME")]
    charge: Option<String>,
    /// Kinematic viscosity at 40 °C, mm²/s [typical fluid if absent]
    #[arg(long, value_name = "VISCOSITY", requires = "kv100")]
    kv40: Option<String>,
    /// Kinematic viscosity at 100 °C, mm²/s [typical fluid if absent]
    #[arg(long, value_name = "VISCOSITY", requires = "kv40")]
    kv100: Option<String>,
    #[command(flatten)]
    fluid: FluidArgs,
    /// Length of the standpipe
    #[arg(long, value_name = "LENGTH", default_value = "40 mm")]
    pipe_length: String,
    /// Volume of one drop
    #[arg(long, value_name = "VOLUME", default_value = "0.05 mL")]
    drop: String,
    /// Fluid that still comes down from upper surfaces
    #[arg(long, value_name = "VOLUME", requires = "drain_back_time")]
    drain_back: Option<String>,
    /// Time constant with which it comes down
    #[arg(long, value_name = "TIME", requires = "drain_back")]
    drain_back_time: Option<String>,
    /// An earlier job of this unit, surplus and when its stream broke to drops: "0.5 L@140 s"; repeat for each job
    #[arg(long, value_name = "V@TIME")]
    earlier: Vec<String>,
}

/// Doubt of an earlier job's surplus, as a share of it, and of its time: common practice, no source.
const EARLIER_SURPLUS: f64 = 0.05;
const EARLIER_TIME_S: f64 = 10.0;

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let temperature: Temperature = one("--temperature", &args.temperature)?;
    let (thick, mut assumptions) = thickness(args, temperature)?;
    let mut input = RunOff::new(
        one("--surplus", &args.surplus)?,
        one("--bore", &args.bore)?,
        one("--sump-area", &args.sump_area)?,
        thick,
    );
    input.standpipe_length = one("--pipe-length", &args.pipe_length)?;
    input.drop = one("--drop", &args.drop)?;
    if let (Some(rate), Some(charge)) = (&args.rate, &args.charge) {
        let (expansion, words) = args.fluid.expansion()?;
        let coefficient = expansion.coefficient_at(temperature)?;
        let rate: TemperatureRate = one("--rate", rate)?;
        let charge: Volume = one("--charge", charge)?;
        // Checks all three before the run-off begins, so that the message names the right one.
        expansion_flow(charge, coefficient, rate)?;
        input.warming = Some(Warming { charge, coefficient, rate });
        assumptions.push(words);
    }
    let back: Option<Volume> = maybe("--drain-back", args.drain_back.as_ref())?;
    let time: Option<Duration> = maybe("--drain-back-time", args.drain_back_time.as_ref())?;
    input.drain_back = back.zip(time).map(|(volume, time_constant)| DrainBack { volume, time_constant });
    input.scale = learnt(&args.earlier, &input)?;
    let forecast = run_off(&input)?;
    assumptions.extend(forecast.assumptions.iter().cloned());
    Ok(Answer::new(text(&forecast, &assumptions, units), document(&forecast, &input, &assumptions)))
}

/// What the earlier jobs say about this unit's flow, with today's setting but their own surplus.
fn learnt(earlier: &[String], today: &RunOff) -> Result<Scale, Fault> {
    let mut jobs = Vec::with_capacity(earlier.len());
    for text in earlier {
        let Some((volume, time)) = text.split_once('@') else {
            return Err(Fault::new(
                format!("--earlier: \"{text}\" has no time"),
                "write surplus@time from opening until the stream broke to drops, as in \"0.5 L@140 s\"",
            ));
        };
        let surplus: Volume = one("--earlier", volume)?;
        jobs.push(job_scale(&Watched {
            run: RunOff { surplus, ..*today },
            surplus_u: surplus * EARLIER_SURPLUS,
            below: Flow::from_ml_per_second(STREAM_BREAKS),
            after: Uncertain::new(one("--earlier", time)?, Duration::from_seconds(EARLIER_TIME_S)),
        })?);
    }
    Ok(pooled_scale(&jobs)?)
}

/// Viscosity at the temperature, and in words where it comes from when it was not given.
fn thickness(args: &Args, at: Temperature) -> Result<(KinematicViscosity, Vec<String>), Fault> {
    let (kv40, kv100, words) = match (&args.kv40, &args.kv100) {
        (Some(kv40), Some(kv100)) => (viscosity("--kv40", kv40)?, viscosity("--kv100", kv100)?, None),
        _ => {
            let fluid = typical_fluid()?;
            let (kv40, kv100) = (fluid.kv40, fluid.kv100);
            let figures = format!("{} mm²/s at 40 °C and {} at 100 °C", kv40.mm2_per_s(), kv100.mm2_per_s());
            (kv40, kv100, Some(format!("{figures}: typical of a {} ({})", fluid.class, fluid.status.replace('-', " "))))
        }
    };
    Ok((ViscosityLine::from_40_and_100(kv40, kv100)?.at(at)?, words.into_iter().collect()))
}

fn document(forecast: &RunOffForecast, input: &RunOff, assumptions: &[String]) -> Value {
    let best = |bracket: Option<Bracket>| bracket.map(|b| b.best.seconds());
    let range = |bracket: Option<Bracket>| bracket.map(|b| json!({ "low": b.low.seconds(), "high": b.high.seconds() }));
    let curve: Vec<Value> = forecast
        .curve
        .iter()
        .map(|point| {
            json!({ "t_s": point.time.seconds(), "head_mm": point.head.mm(), "flow_ml_per_min": point.flow.ml_per_minute(),
                "run_off_ml": point.run_off.ml() })
        })
        .collect();
    json!({
        "stream_breaks_s": best(forecast.stream_breaks),
        "stream_breaks_range_s": range(forecast.stream_breaks),
        "drops_s": best(forecast.drops),
        "drops_range_s": range(forecast.drops),
        "residual_ml": forecast.residual.value.ml(),
        "residual_u_ml": forecast.residual.u.ml(),
        "expansion_ml_per_min": forecast.expansion.ml_per_minute(),
        "drops_per_min": forecast.drops_per_minute,
        "kv_mm2_s": input.viscosity.mm2_per_s(),
        "scale": { "factor": input.scale.factor(), "u": input.scale.u, "jobs": input.scale.jobs },
        "curve": curve,
        "assumptions": assumptions,
    })
}

fn text(forecast: &RunOffForecast, assumptions: &[String], units: Units) -> String {
    let time = |bracket: Option<Bracket>| match bracket {
        Some(b) if b.high.seconds() < 0.5 => "at once".to_owned(),
        Some(b) => {
            format!("after {} ({} to {})", print::duration(b.best), print::duration(b.low), print::duration(b.high))
        }
        None => "not while it warms like this".to_owned(),
    };
    let mut lines = vec![
        ("Stream breaks", time(forecast.stream_breaks)),
        ("Drops", time(forecast.drops)),
        ("Left above the lip", print::volume_uncertain(forecast.residual, units)),
    ];
    if forecast.expansion.ml_per_minute() > 0.0 {
        lines.push((
            "Expansion",
            format!(
                "{} or {} drops a minute go on: this is expansion, not surplus. Close, never wait for dry.",
                print::flow(forecast.expansion, units),
                print::number(forecast.drops_per_minute, 0)
            ),
        ));
    }
    rows(&lines) + &list("It assumes", assumptions)
}
