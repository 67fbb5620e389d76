//! What is due next, from every finished job of the workshop.

use job::state::Ending;
use quantity::Duration;
use serde::Serialize;

use crate::error::AppError;
use crate::workshop::Workshop;

/// When one vehicle's unit is due again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServiceDue {
    pub job: String,
    pub vehicle: String,
    pub unit: String,
    /// Last day by the interval in time, YYYY-MM-DD.
    pub by_day: Option<String>,
    /// Days until then; below zero when it is past.
    pub left_days: Option<i64>,
    /// Odometer at which the blend reaches the interval in distance.
    pub at_odometer_km: Option<f64>,
    /// Mean distance of the fluid when the job was finished.
    pub blend_age_km: Option<f64>,
    /// Share of old fluid that stayed in.
    pub old_fraction: Option<f64>,
}

impl Workshop {
    /// The finished jobs, the one due first on top; of one vehicle and unit only the latest.
    ///
    /// # Errors
    /// What is wrong with the log on disk.
    pub async fn services_due(&self) -> Result<Vec<ServiceDue>, AppError> {
        let now = self.clock().now_ms();
        let mut found: Vec<(i64, ServiceDue)> = Vec::new();
        for row in self.floor().await?.into_iter().filter(|row| row.closed && !row.damaged) {
            let Ok(loaded) = self.load(&row.job).await else { continue };
            if loaded.state.ending != Some(Ending::Finished) {
                continue;
            }
            let due = job::outcome::outcome(&loaded.state).due;
            let at_ms = loaded.state.last_ms;
            let by = due.interval_months.map(|months| at_ms + (Duration::from_months(months).seconds() * 1e3) as i64);
            let service = ServiceDue {
                job: row.job,
                vehicle: row.vehicle,
                unit: row.title,
                by_day: by.and_then(day),
                left_days: by.map(|by| (by - now).div_euclid(86_400_000)),
                at_odometer_km: due.at_odometer_km.map(quantity::Distance::km),
                blend_age_km: due.blend_age_km.map(quantity::Distance::km),
                old_fraction: due.old_fraction,
            };
            found.push((at_ms, service));
        }
        found.sort_by_key(|(at_ms, _)| std::cmp::Reverse(*at_ms));
        let mut latest: Vec<ServiceDue> = Vec::new();
        for (_, service) in found {
            if !latest.iter().any(|l| l.vehicle == service.vehicle && l.unit == service.unit) {
                latest.push(service);
            }
        }
        latest.sort_by_key(|service| service.left_days.unwrap_or(i64::MAX));
        Ok(latest)
    }
}

fn day(ms: i64) -> Option<String> {
    let at = jiff::Timestamp::from_millisecond(ms).ok()?;
    Some(at.to_zoned_datetime(jiff::tz::TimeZone::system()).date().to_string())
}
