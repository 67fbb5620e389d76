//! The stream of live figures.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use app::{AppError, Workshop};
use axum::extract::{Form, Path, State};
use axum::http::{HeaderMap, HeaderName};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Redirect, Response};
use futures_util::stream;
use tokio::sync::broadcast::{Receiver, error::RecvError};

use super::answer::error;
use super::choice::choices_of;
use super::job::{Shop, WAITED};
use crate::choice::{CURRENT, Choices};
use crate::fill;
use crate::view::Live;

/// Between entries the page counts by itself; this often it is put right.
const EVERY: Duration = Duration::from_secs(2);

struct Watch {
    shop: Arc<Workshop>,
    job: String,
    changes: Receiver<String>,
    last: Option<Live>,
    /// What the demo's vehicle shows, drawn by the server alone: the log does not grow when a pan fills.
    sight: String,
    choices: Choices,
}

/// Live figures of one job as server-sent events. A message is the figures as JSON; an event named `page` says that
/// more than the figures has changed.
pub(super) async fn live(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    let changes = shop.changes();
    if let Err(why) = shop.load(&job).await {
        return error(&headers, &why);
    }
    let watch = Watch { shop, job, changes, last: None, sight: String::new(), choices: choices_of(&headers) };
    let events = stream::unfold(watch, |mut watch| async move { watch.next().await.map(|event| (event, watch)) });
    let keep = KeepAlive::new().interval(Duration::from_secs(15));
    // A proxy that collects the stream before passing it on would make it useless.
    ([(HeaderName::from_static("x-accel-buffering"), "no")], Sse::new(events).keep_alive(keep)).into_response()
}

/// Lets time pass in the demo, and goes back to the job's page.
pub(super) async fn pass(
    State(shop): Shop,
    headers: HeaderMap,
    Path(job): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Response {
    let given = form.get("minutes").map_or("", |minutes| minutes.trim());
    let minutes = given.parse::<f64>().map_err(|_| AppError::Input {
        what: format!("“{given}” is no number of minutes"),
        hint: "Give 1 to 60 minutes.".to_owned(),
    });
    let passed = match minutes {
        Ok(minutes) => shop.let_pass(minutes * 60.0).await,
        Err(why) => Err(why),
    };
    match passed {
        Ok(()) => Redirect::to(&format!("/job/{job}?{WAITED}")).into_response(),
        Err(why) => error(&headers, &why),
    }
}

impl Watch {
    /// The next event; `None` ends the stream when the job can no longer be read.
    async fn next(&mut self) -> Option<Result<Event, Infallible>> {
        loop {
            if self.last.is_some() {
                self.wait().await?;
            }
            let view = self.shop.view_alone(&self.job).await.ok()?;
            let now = CURRENT.sync_scope(self.choices, || fill::live(&view));
            let turned = self.last.as_ref().is_some_and(|last| {
                last.seq == now.seq && (last.verb != now.verb || last.mood != now.mood || last.band != now.band)
            });
            let sight = CURRENT.sync_scope(self.choices, || fill::sight(&view));
            let turned = turned || (self.last.is_some() && self.sight != sight);
            self.sight = sight;
            let same = self.last.as_ref() == Some(&now);
            let event = Event::default().data(now.json());
            self.last = Some(now);
            if turned {
                return Some(Ok(event.event("page")));
            }
            if !same {
                return Some(Ok(event));
            }
        }
    }

    /// Until this job changes or it is time to put the page right. `None` when the workshop closes.
    async fn wait(&mut self) -> Option<()> {
        let due = tokio::time::sleep(EVERY);
        tokio::pin!(due);
        loop {
            tokio::select! {
                () = &mut due => return Some(()),
                changed = self.changes.recv() => match changed {
                    Ok(job) if job == self.job => return Some(()),
                    Ok(_) => {}
                    // Too many changes to hear each: one of them may have been ours.
                    Err(RecvError::Lagged(_)) => return Some(()),
                    Err(RecvError::Closed) => return None,
                }
            }
        }
    }
}
