//! The proof sheet as a page that stands alone: no script, no file beside it, nothing fetched.

use std::fmt::Write;

use draw::{Size, escape, svg, tape};

use crate::content::{Figure, Proof, Table};
use crate::proof::{DEMO, DEMO_MORE, override_words, tape_words};
use crate::set::{even, is_figure};

const STYLE: &str = "\
:root{--ink:#16212b;--grey:#56616b;--rule:#c3c9ce;--accent:#0c5e70;--wash:#e3eef1;--ground:#fffef9;\
--d-ink:#16212b;--d-faint:#56616b;--d-ground:#fffef9;--d-window:#0c5e70}\
*{box-sizing:border-box}\
body{margin:0;background:var(--ground);color:var(--ink);font:16px/1.4 system-ui,'DejaVu Sans',sans-serif;\
font-variant-numeric:tabular-nums}\
main{max-width:64rem;margin:0 auto;padding:1.2rem}\
header{display:flex;justify-content:space-between;align-items:baseline;gap:1rem;font-weight:700;\
border-bottom:6px double var(--ink);padding-bottom:.4rem}\
header span{color:var(--accent);letter-spacing:.06em;text-transform:uppercase;font-size:.85rem}\
h1{font-size:1.9rem;line-height:1.15;margin:1rem 0 .2rem}\
.who{color:var(--grey);margin:0 0 1rem}\
.demo{margin:1rem 0;padding:.6rem;border:solid var(--accent);border-width:2px 0;text-align:center;font-weight:700;\
color:var(--accent);background:repeating-linear-gradient(-45deg,var(--wash) 0 3px,var(--ground) 3px 9px)}\
.demo span{background:var(--ground);padding:.2rem .8rem}\
.stopped{border:2px solid var(--ink);border-left-width:14px;padding:.7rem 1rem;margin:1rem 0}\
.stopped h2{border:0;color:var(--ink);margin:0;font-size:1.1rem}.stopped p{margin:.2rem 0 0}\
.figures{display:grid;grid-template-columns:1fr 1fr;border:solid var(--ink);border-width:2px 0;margin:1rem 0 0}\
.figures section{padding:.6rem .8rem .8rem 0}\
.figures section+section{background:var(--wash);padding-left:1rem;color:var(--accent)}\
.figures h2{border:0;margin:0;color:var(--grey);font-size:.85rem;letter-spacing:.06em;text-transform:uppercase}\
.figures p{margin:0}.value{font-size:2.8rem;line-height:1.15;font-weight:700}\
.value small{font-size:.62em;font-weight:400;white-space:nowrap}\
.figures .words{color:var(--ink)}\
.verdict{font-size:1.15rem;font-weight:700;margin:.8rem 0;padding-bottom:.8rem;border-bottom:1px solid var(--rule)}\
.columns{display:grid;grid-template-columns:1fr 1fr;gap:0 2rem}\
h2{font-size:1rem;color:var(--accent);border-bottom:2px solid var(--accent);margin:1.2rem 0 .3rem;padding-bottom:.15rem}\
dl{display:grid;grid-template-columns:max-content 1fr;gap:.1rem 1rem;margin:0}dt{color:var(--grey)}dd{margin:0}\
table{border-collapse:collapse;width:100%}th{color:var(--grey);font-weight:400}\
th,td{text-align:left;vertical-align:top;padding:.2rem .8rem .2rem 0}th:last-child,td:last-child{padding-right:0}\
tbody td{border-top:1px solid var(--rule)}tfoot td{border-top:2px solid var(--ink);font-weight:700}\
.n{text-align:right}ul{margin:0;padding-left:1.2rem}svg{max-width:100%;height:auto;display:block}\
.log{margin-top:1.6rem;border-top:1px solid var(--ink);padding-top:.4rem;color:var(--grey);font-size:.85rem;\
overflow-wrap:anywhere}\
@media(max-width:44rem){.columns,.figures{grid-template-columns:1fr}.figures section+section{padding-left:.8rem}\
.value{font-size:2.4rem}}\
@media print{main{padding:0;max-width:none}body{font-size:10pt;background:#fff}section,table,ul,dl{break-inside:avoid}\
*{print-color-adjust:exact}}";

/// The proof sheet as one HTML file.
pub fn page(proof: &Proof) -> String {
    let demo =
        if proof.demo { format!("<p class=\"demo\"><span>{DEMO} — {DEMO_MORE}</span></p>") } else { String::new() };
    let name = if proof.title.trim().is_empty() { "Proof sheet" } else { &proof.title };
    let title = if proof.demo { format!("{DEMO}: {name}") } else { name.to_owned() };
    let who = [&proof.job, &proof.date, &proof.technician];
    let who: Vec<String> = who.into_iter().filter(|s| !s.trim().is_empty()).map(|s| escape(s)).collect();
    let stopped = proof.stopped.as_ref().map_or(String::new(), |why| {
        format!("<section class=\"stopped\"><h2>Stopped before the end</h2><p>{}</p></section>", escape(why))
    });
    let picture = svg(&tape(&proof.tape, Size::Wide), "Temperature of the fluid", &tape_words(&proof.tape));
    let overrides: Vec<String> = proof.overrides.iter().map(override_words).collect();
    let left = [
        pairs("Vehicle", &proof.vehicle),
        pairs("Unit", &proof.unit),
        format!("<section><h2>Temperature of the fluid</h2>{picture}</section>"),
        pairs("Fluid", &proof.fluid),
        pairs("Next due", &proof.next_due),
    ];
    let right = [
        table("Litre ledger", &proof.ledger),
        table("Where the doubt comes from", &proof.budget),
        table("Torques", &proof.torques),
        remarks("Gates overridden", &overrides),
        remarks("Entries corrected", &proof.corrections),
        remarks("Mind this", &proof.cautions),
        remarks("What this sheet does not claim", &proof.not_claimed),
    ];
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width,initial-scale=1\"><title>{}</title><style>{STYLE}{}</style></head><body><main>\
         <header>{}<span>Proof sheet</span></header>{demo}<h1>{}</h1><p class=\"who\">{}</p>{stopped}\
         <div class=\"figures\">{}{}</div><p class=\"verdict\">{}</p>\
         <div class=\"columns\"><div>{}</div><div>{}</div></div>{demo}<p class=\"log\">{}</p></main></body></html>\n",
        escape(&title),
        draw::STYLE,
        escape(&proof.workshop),
        escape(&proof.title),
        who.join(" · "),
        figure(&proof.as_found),
        figure(&proof.as_left),
        escape(&proof.verdict),
        left.concat(),
        right.concat(),
        escape(&proof.footer),
    )
}

fn figure(figure: &Figure) -> String {
    let value = if figure.value.trim().is_empty() { "—" } else { &figure.value };
    format!(
        "<section><h2>{}</h2><p class=\"value\">{} <small>{}</small></p><p class=\"words\">{}</p></section>",
        escape(&figure.label),
        escape(value),
        escape(&figure.doubt),
        escape(&figure.words)
    )
}

fn pairs(heading: &str, pairs: &[(String, String)]) -> String {
    if pairs.is_empty() {
        return String::new();
    }
    let rows: String = pairs.iter().map(|(k, v)| format!("<dt>{}</dt><dd>{}</dd>", escape(k), escape(v))).collect();
    format!("<section><h2>{heading}</h2><dl>{rows}</dl></section>")
}

fn remarks(heading: &str, remarks: &[String]) -> String {
    if remarks.is_empty() {
        return String::new();
    }
    let rows: String = remarks.iter().map(|r| format!("<li>{}</li>", escape(r))).collect();
    format!("<section><h2>{heading}</h2><ul>{rows}</ul></section>")
}

fn table(heading: &str, table: &Table) -> String {
    let rows = even(table);
    if rows.is_empty() {
        return String::new();
    }
    let head = usize::from(!table.head.is_empty());
    let body = rows.len() - usize::from(!table.total.is_empty());
    let flush_right = |c: usize| c > 0 && rows[head..].iter().all(|r| r.get(c).is_none_or(|cell| is_figure(cell)));
    let mut out = format!("<section><h2>{heading}</h2><table>");
    for (i, row) in rows.iter().enumerate() {
        let (open, close, cell) = match i {
            _ if i < head => ("<thead>", "</thead>", "th"),
            _ if i >= body => ("<tfoot>", "</tfoot>", "td"),
            _ => ("<tbody>", "</tbody>", "td"),
        };
        let (first, last) = (i == 0 || i == head || i == body, i + 1 == head || i + 1 == body || i + 1 == rows.len());
        // Writing to a String cannot fail.
        let _ = write!(out, "{}<tr>", if first { open } else { "" });
        for (c, words) in row.iter().enumerate() {
            let class = if flush_right(c) { " class=\"n\"" } else { "" };
            let _ = write!(out, "<{cell}{class}>{}</{cell}>", escape(words));
        }
        let _ = write!(out, "</tr>{}", if last { close } else { "" });
    }
    out.push_str("</table></section>");
    out
}
