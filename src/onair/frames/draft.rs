//! A frame being put together: rows filled by the flight, and rows that the install decides.

use crate::code::Code;
use crate::code::table::{Row, Table};
use crate::downlink::PAYLOAD_OFFSET;
use crate::frame::{Frame, Span};
use crate::onair::{Decision, Rule};
use crate::profile::SettingId;

/// A frame being put together.
pub(super) struct Draft {
    pub(super) table: &'static Table,
    pub(super) envelope: &'static Table,
    pub(super) pattern: u128,
    pub(super) decisions: Vec<Decision>,
    pub(super) used: Vec<Decision>,
    pub(super) asked_by: Option<&'static str>,
}

impl Draft {
    pub(super) fn new(envelope: &'static Table, payload: Option<(&'static Table, u64)>) -> Self {
        let mut pattern = envelope.template;
        if let (Some((_, bits)), Some(row)) = (payload, envelope.rows.iter().find(|row| row.key == "message_field")) {
            pattern = envelope.with_code(row, pattern, bits);
        }
        Self {
            table: payload.map_or(envelope, |(table, _)| table),
            envelope,
            pattern,
            decisions: Vec::new(),
            used: Vec::new(),
            asked_by: None,
        }
    }

    /// A row of the format around the message, filled by the flight.
    pub(super) fn outer<C: Code>(mut self, row: &Row, code: C) -> Self {
        self.pattern = self.envelope.with_code(row, self.pattern, code.bits());
        self
    }

    pub(super) fn place(&mut self, span: Span, code: u64) {
        let length = self.envelope.bits;
        let mask = span.mask(length);
        self.pattern = self.pattern & !mask | (u128::from(code) << (length - span.last)) & mask;
    }

    pub(super) fn decision<C: Code>(
        row: &Row,
        span: Span,
        code: C,
        settings: &'static [SettingId],
        rule: Rule,
    ) -> Decision {
        Decision {
            settings,
            field: row.field.unwrap_or(row.key),
            span,
            code: code.bits(),
            also: &[],
            meaning: row.meaning,
            rule,
            by_version: false,
            applies: None,
        }
    }

    /// A row of the format around the message that the install decides, where the setting is stated.
    pub(super) fn decide_outer<C: Code>(mut self, row: &Row, code: Option<C>, settings: &'static [SettingId]) -> Self {
        if let Some(code) = code {
            self.place(row.span, code.bits());
            self.decisions.push(Self::decision(row, row.span, code, settings, Rule::Equal));
        }
        self
    }

    /// A row of the message that the install decides, where the setting is stated.
    pub(super) fn decide<C: Code>(
        mut self,
        row: &Row,
        code: Option<C>,
        settings: &'static [SettingId],
        rule: Rule,
    ) -> Self {
        if let Some(code) = code {
            let span = row.span.shifted(PAYLOAD_OFFSET);
            self.place(span, code.bits());
            self.decisions.push(Self::decision(row, span, code, settings, rule));
        }
        self
    }

    /// Says of the last decision when an observed frame counts for it.
    pub(super) fn only_where(mut self, row: &Row, applies: fn(&Frame) -> bool) -> Self {
        if let Some(last) = self.decisions.last_mut().filter(|last| last.field == row.field.unwrap_or(row.key)) {
            last.applies = Some(applies);
        }
        self
    }

    /// Says of the last decision which other codes say the same of the install.
    pub(super) fn or_also(mut self, row: &Row, also: &'static [u64]) -> Self {
        let is_it = |last: &&mut Decision| last.field == row.field.unwrap_or(row.key) && matches!(last.code, 4 | 5);
        if let Some(last) = self.decisions.last_mut().filter(is_it) {
            last.also = also;
        }
        self
    }

    /// Says of the last decision that its meaning hangs on the version in force.
    pub(super) fn by_version(mut self, row: &Row) -> Self {
        if let Some(last) = self.decisions.last_mut().filter(|last| last.field == row.field.unwrap_or(row.key)) {
            last.by_version = true;
        }
        self
    }

    pub(super) fn asked_by(mut self, asked_by: &'static str) -> Self {
        self.asked_by = Some(asked_by);
        self
    }
}
