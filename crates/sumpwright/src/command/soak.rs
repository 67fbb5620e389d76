//! `soak`: how long a hot arrival has to stand before its window, and what refilling at once would do.

use physics::soak::{Arrival, Meets, Refill, SoakPlan, Stand, USUAL_METAL_PER_LITRE, USUAL_TIME_CONSTANT, soak_plan};
use quantity::print::{self, Units};
use quantity::{Density, Duration, Span, Temperature, Volume};
use serde_json::{Value, json};
use sheet::Sheet;

use super::sheets::sheet_of;
use crate::args::{density, maybe, number, one, typical_fluid, unread};
use crate::print::{Answer, Fault, list, rows};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Fluid temperature on arrival
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    fluid: String,
    /// Air in the bay
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    ambient: String,
    /// The window: "35–45 °C"
    #[arg(long, value_name = "RANGE", required_unless_present = "sheet", allow_hyphen_values = true)]
    window: Option<String>,
    /// Sheet of the unit: gives the window, the volumes and the density
    #[arg(long, value_name = "SHEET")]
    sheet: Option<String>,
    /// How slowly it cools with the engine off [common practice: 150 min]
    #[arg(long, value_name = "TIME")]
    time_constant: Option<String>,
    /// Drained and poured again [default: the sheet's drained volume]
    #[arg(long, value_name = "VOLUME")]
    renewed: Option<String>,
    /// The whole fill [default: the sheet's]
    #[arg(long, value_name = "VOLUME", requires = "renewed")]
    total: Option<String>,
    /// Temperature of the new fluid [default: the air's]
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    poured_at: Option<String>,
    /// Heat capacity of the metal, kJ/K [common practice: 4 for each litre of the fill]
    #[arg(long, value_name = "KJ_PER_K")]
    metal: Option<String>,
    /// Density of the fluid at 15 °C [default: the sheet's, else a typical fluid's]
    #[arg(long, value_name = "DENSITY")]
    density15: Option<String>,
    /// Only wait: nothing is drained and poured
    #[arg(long, conflicts_with_all = ["renewed", "metal"])]
    wait_only: bool,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let sheet = args.sheet.as_deref().map(sheet_of).transpose()?.map(|found| found.0);
    let window: Span<Temperature> = match (&args.window, &sheet) {
        (Some(text), _) => quantity::read::temperature(text).map_err(|why| unread("--window", &why))?,
        (None, Some(sheet)) => sheet.window_span().ok_or_else(|| {
            Fault::new(format!("{} has no window", sheet.name), "give --window, or nothing has to be waited for")
        })?,
        (None, None) => return Err(Fault::new("no window is known", "give --window or --sheet")),
    };
    let ambient: Temperature = one("--ambient", &args.ambient)?;
    let arrival = Arrival {
        fluid: one("--fluid", &args.fluid)?,
        ambient,
        window,
        time_constant: maybe("--time-constant", args.time_constant.as_ref())?.unwrap_or(USUAL_TIME_CONSTANT),
        refill: refill(args, sheet.as_ref(), ambient)?,
    };
    let plan = soak_plan(&arrival)?;
    let says = app::soak_words(&arrival, &plan);
    Ok(Answer::new(text(&arrival, &plan, &says, units), document(&arrival, &plan, &says)))
}

fn refill(args: &Args, sheet: Option<&Sheet>, ambient: Temperature) -> Result<Option<Refill>, Fault> {
    if args.wait_only {
        return Ok(None);
    }
    let own: Option<Refill> = sheet.map(|sheet| app::refill_of(sheet, ambient));
    let renewed: Option<Volume> = maybe("--renewed", args.renewed.as_ref())?.or(own.map(|own| own.renewed));
    let total: Option<Volume> = maybe("--total", args.total.as_ref())?.or(own.map(|own| own.total));
    let (Some(renewed), Some(total)) = (renewed, total) else {
        return match renewed {
            Some(_) => Err(Fault::new("--renewed needs --total", "give the whole fill, or a sheet")),
            None => Ok(None),
        };
    };
    let metal_kj_per_k = match &args.metal {
        Some(text) => number("--metal", text, &["kJ/K"])?,
        None => USUAL_METAL_PER_LITRE * total.litres(),
    };
    let density15: Density = match (&args.density15, own) {
        (Some(text), _) => density("--density15", text)?,
        (None, Some(own)) => own.density,
        (None, None) => typical_fluid()?.density15,
    };
    let poured_at = maybe("--poured-at", args.poured_at.as_ref())?.unwrap_or(ambient);
    Ok(Some(Refill { total, renewed, poured_at, metal_kj_per_k, density: density15 }))
}

fn standing(stand: Option<Stand>) -> Value {
    stand.map_or(Value::Null, |stand| {
        json!({
            "until_c": stand.until, "for_s": stand.for_time,
            "shortest_s": stand.shortest, "longest_s": stand.longest,
        })
    })
}

fn document(arrival: &Arrival, plan: &SoakPlan, says: &[String]) -> Value {
    let meets = match plan.meets {
        Meets::FromBelow => "from-below",
        Meets::Inside => "inside",
        Meets::AfterStanding => "after-standing",
        Meets::NotToday => "not-today",
    };
    json!({
        "meets": meets,
        "window_c": { "low": arrival.window.low, "high": arrival.window.high },
        "mixes_at_c": plan.mixes_at,
        "drain_at_c": plan.drain_at,
        "to_high_edge": standing(plan.to_high_edge),
        "to_low_edge": standing(plan.to_low_edge),
        "before_drain": standing(plan.before_drain),
        "time_constant_s": arrival.time_constant,
        "advice": says,
    })
}

fn text(arrival: &Arrival, plan: &SoakPlan, says: &[String], units: Units) -> String {
    let minutes = |time: Duration| format!("{:.0} min", time.minutes());
    let stand = |stand: Stand| {
        let until = print::temperature(stand.until, units);
        format!("{} ({}–{}) until {until}", minutes(stand.for_time), minutes(stand.shortest), minutes(stand.longest))
    };
    let mut lines = vec![("Arrives at", print::temperature(arrival.fluid, units))];
    lines.extend(plan.mixes_at.map(|mix| ("Refilled at once", format!("ends at {}", print::temperature(mix, units)))));
    lines.extend(plan.to_high_edge.map(|s| ("To the high edge", stand(s))));
    lines.extend(plan.to_low_edge.map(|s| ("To the low edge", stand(s))));
    lines.extend(plan.before_drain.map(|s| ("Before the drain", stand(s))));
    rows(&lines) + &list("So", says)
}
