//! Where a mutant is in the source, and the branch that it becomes.

use crate::{Mutant, Point, Span};
use proc_macro2::LineColumn;
use std::error::Error;
use std::ops::Range;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};

/// What a file gets: this text in the place of those octets. `NUMBER` is the mutant's.
pub struct Edit {
    pub file: String,
    pub range: Range<usize>,
    pub text: String,
}

impl Edit {
    pub fn is_apart(&self, other: &Self) -> bool {
        self.range.end <= other.range.start || other.range.end <= self.range.start
    }
}

/// The octet at a line and a column.
fn octet(text: &str, point: Point) -> Result<usize, Box<dyn Error>> {
    let start = text.split_inclusive('\n').take(point.line - 1).map(str::len).sum::<usize>();
    let inside: usize = text[start..].chars().take(point.column - 1).map(char::len_utf8).sum();
    (start + inside <= text.len()).then_some(start + inside).ok_or_else(|| "a place behind the end of a file".into())
}

pub fn range(text: &str, span: Span) -> Result<Range<usize>, Box<dyn Error>> {
    Ok(octet(text, span.start)?..octet(text, span.end)?)
}

/// The branch of a mutant; `None` where there can be none.
pub fn place(text: &str, mutant: &Mutant) -> Result<Option<Edit>, Box<dyn Error>> {
    let wanted = range(text, mutant.span)?;
    let mut search = Search { text, mutant, wanted, in_constant: 0, found: None };
    search.visit_file(&syn::parse_file(text)?);
    Ok(search.found.map(|(range, text)| Edit { file: mutant.file.clone(), range, text }))
}

struct Search<'a> {
    text: &'a str,
    mutant: &'a Mutant,
    wanted: Range<usize>,
    /// How many constants this is in.
    in_constant: usize,
    found: Option<(Range<usize>, String)>,
}

impl Search<'_> {
    fn range(&self, of: &impl Spanned) -> Range<usize> {
        let point = |at: LineColumn| Point { line: at.line, column: at.column + 1 };
        let span = of.span();
        let at = |place| octet(self.text, point(place)).unwrap_or(usize::MAX);
        at(span.start())..at(span.end())
    }

    fn source(&self, of: &impl Spanned) -> &str {
        &self.text[self.range(of)]
    }

    fn is_wanted(&self, genre: &str, of: &impl Spanned) -> bool {
        self.in_constant == 0 && self.mutant.genre == genre && self.range(of) == self.wanted
    }

    /// One of two expressions.
    fn choose(&mut self, of: Range<usize>, mutated: &str) {
        let own = &self.text[of.clone()];
        self.found = Some((of, format!("(if crate::mutant(NUMBER) {{ {mutated} }} else {{ {own} }})")));
    }

    fn constant(&mut self, is: bool, visit: impl FnOnce(&mut Self)) {
        self.in_constant += usize::from(is);
        visit(self);
        self.in_constant -= usize::from(is);
    }

    /// The value of a function is replaced: it returns at once.
    fn function(&mut self, block: &syn::Block) {
        let inside = block.stmts.first().zip(block.stmts.last());
        let Some((first, last)) = inside else { return };
        let body = self.range(first).start..self.range(last).end;
        if self.in_constant == 0 && self.mutant.genre == "FnValue" && body == self.wanted {
            let text = format!("if crate::mutant(NUMBER) {{ return {}; }} ", self.mutant.replacement);
            self.found = Some((body.start..body.start, text));
        }
    }
}

impl<'ast> Visit<'ast> for Search<'_> {
    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        self.constant(item.sig.constness.is_some(), |search| {
            search.function(&item.block);
            visit::visit_item_fn(search, item);
        });
    }

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        self.constant(item.sig.constness.is_some(), |search| {
            search.function(&item.block);
            visit::visit_impl_item_fn(search, item);
        });
    }

    fn visit_trait_item_fn(&mut self, item: &'ast syn::TraitItemFn) {
        if let Some(block) = &item.default {
            self.function(block);
        }
        visit::visit_trait_item_fn(self, item);
    }

    fn visit_item_const(&mut self, item: &'ast syn::ItemConst) {
        self.constant(true, |search| visit::visit_item_const(search, item));
    }

    /// What stands in a constant, but runs later.
    fn visit_expr_closure(&mut self, closure: &'ast syn::ExprClosure) {
        let in_constant = std::mem::take(&mut self.in_constant);
        visit::visit_expr_closure(self, closure);
        self.in_constant = in_constant;
    }

    fn visit_item_static(&mut self, item: &'ast syn::ItemStatic) {
        self.constant(true, |search| visit::visit_item_static(search, item));
    }

    fn visit_impl_item_const(&mut self, item: &'ast syn::ImplItemConst) {
        self.constant(true, |search| visit::visit_impl_item_const(search, item));
    }

    fn visit_trait_item_const(&mut self, item: &'ast syn::TraitItemConst) {
        self.constant(true, |search| visit::visit_trait_item_const(search, item));
    }

    fn visit_expr_const(&mut self, item: &'ast syn::ExprConst) {
        self.constant(true, |search| visit::visit_expr_const(search, item));
    }

    fn visit_type_array(&mut self, array: &'ast syn::TypeArray) {
        self.constant(true, |search| visit::visit_type_array(search, array));
    }

    fn visit_expr_binary(&mut self, expression: &'ast syn::ExprBinary) {
        if self.is_wanted("BinaryOperator", &expression.op) {
            let (left, right) = (self.source(&expression.left), self.source(&expression.right));
            let mutated = format!("{left} {} {right}", self.mutant.replacement);
            self.choose(self.range(expression), &mutated);
        }
        visit::visit_expr_binary(self, expression);
    }

    fn visit_expr_unary(&mut self, expression: &'ast syn::ExprUnary) {
        if self.is_wanted("UnaryOperator", &expression.op) {
            let mutated = self.source(&expression.expr).to_owned();
            self.choose(self.range(expression), &mutated);
        }
        visit::visit_expr_unary(self, expression);
    }

    fn visit_arm(&mut self, arm: &'ast syn::Arm) {
        // With or without the comma behind it.
        let own = self.range(arm);
        let is_arm = own.start == self.wanted.start && own.end.abs_diff(self.wanted.end) <= 1;
        if self.in_constant == 0 && self.mutant.genre == "MatchArm" && is_arm {
            self.found = Some(match &arm.guard {
                None => {
                    let end = self.range(&arm.pat).end;
                    (end..end, " if !crate::mutant(NUMBER)".to_owned())
                }
                Some((_, guard)) => {
                    let guard = self.range(&**guard);
                    (guard.clone(), format!("({}) && !crate::mutant(NUMBER)", &self.text[guard]))
                }
            });
        }
        if let Some((_, guard)) = &arm.guard
            && self.is_wanted("MatchArmGuard", &**guard)
        {
            self.choose(self.range(&**guard), &self.mutant.replacement.clone());
        }
        visit::visit_arm(self, arm);
    }

    fn visit_expr_struct(&mut self, expression: &'ast syn::ExprStruct) {
        let field = expression.fields.iter().find(|field| self.is_wanted("StructField", *field));
        if let Some(field) = field {
            let (whole, field) = (self.range(expression), self.range(field));
            let behind = self.text[field.end..].trim_start().strip_prefix(',').unwrap_or(&self.text[field.end..]);
            let behind = &behind[..behind.len() - (self.text.len() - whole.end)];
            let mutated = format!("{}{behind}", &self.text[whole.start..field.start]);
            self.choose(whole, &mutated);
        }
        visit::visit_expr_struct(self, expression);
    }
}
