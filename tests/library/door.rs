//! What a user can reach from outside: the library's source, followed from `lib.rs` through `pub mod` and `pub use`.
//!
//! Where the source does not say for certain what a name stands for (an implementation for a type that a macro makes), it
//! is taken for one that can be reached: a function too many is asked for an example, never one too few.

use std::collections::{BTreeMap, BTreeSet};
use syn::buffer::{Cursor, TokenBuffer};
use syn::{Attribute, ImplItem, Item, TraitItem, Type, UseTree, Visibility};

/// A function that can be reached, or a macro's that makes such.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Function {
    /// The file, and the name with its type's.
    pub name: String,
    /// Whether its documentation has an example.
    pub has_example: bool,
    /// Whether it alone is hidden from the documentation.
    pub is_hidden: bool,
}

struct Module {
    file: String,
    items: Vec<Item>,
    /// Its modules: name, and where they are in the list.
    children: BTreeMap<String, usize>,
    parent: Option<usize>,
}

/// A whole library.
pub struct Library {
    modules: Vec<Module>,
    /// Modules, and types by module and name, that can be reached.
    open: BTreeSet<usize>,
    types: BTreeSet<(usize, String)>,
    functions: BTreeSet<(usize, String)>,
}

fn is_public(visibility: &Visibility) -> bool {
    matches!(visibility, Visibility::Public(_))
}

fn says(attributes: &[Attribute], name: &str, word: &str) -> bool {
    let list = attributes.iter().filter(|attribute| attribute.path().is_ident(name));
    list.filter_map(|attribute| attribute.meta.require_list().ok()).any(|list| list.tokens.to_string().contains(word))
}

fn is_hidden(attributes: &[Attribute]) -> bool {
    says(attributes, "doc", "hidden")
}

fn is_for_tests(attributes: &[Attribute]) -> bool {
    says(attributes, "cfg", "test")
}

fn has_example(attributes: &[Attribute]) -> bool {
    attributes.iter().filter(|attribute| attribute.path().is_ident("doc")).any(|attribute| {
        let value = attribute.meta.require_name_value().ok().map(|pair| &pair.value);
        matches!(value, Some(syn::Expr::Lit(text)) if matches!(&text.lit, syn::Lit::Str(text) if text.value().trim() == "```"))
    })
}

/// The names that a `pub use` gives, each with the path behind it.
fn leaves(tree: &UseTree, before: &[String], all: &mut Vec<Vec<String>>) {
    let with = |name: &syn::Ident| [before, &[name.to_string()]].concat();
    match tree {
        UseTree::Path(path) => leaves(&path.tree, &with(&path.ident), all),
        UseTree::Name(name) => all.push(with(&name.ident)),
        UseTree::Rename(name) => all.push(with(&name.ident)),
        UseTree::Glob(_) => all.push([before, &["*".to_owned()]].concat()),
        UseTree::Group(group) => group.items.iter().for_each(|tree| leaves(tree, before, all)),
    }
}

impl Library {
    /// Follows a library from its first file; `read` gives the text of a file below `src`.
    pub fn new(read: &dyn Fn(&str) -> Option<String>) -> Self {
        let mut library =
            Self { modules: Vec::new(), open: BTreeSet::new(), types: BTreeSet::new(), functions: BTreeSet::new() };
        let root = library.load("lib.rs", "", None, read);
        library.open(root);
        library
    }

    fn load(
        &mut self,
        file: &str,
        folder: &str,
        parent: Option<usize>,
        read: &dyn Fn(&str) -> Option<String>,
    ) -> usize {
        let text = read(file).unwrap_or_else(|| panic!("{file} is not there"));
        let items = syn::parse_file(&text).unwrap_or_else(|error| panic!("{file}: {error}")).items;
        self.take(file, folder, parent, items, read)
    }

    fn take(
        &mut self,
        file: &str,
        folder: &str,
        parent: Option<usize>,
        items: Vec<Item>,
        read: &dyn Fn(&str) -> Option<String>,
    ) -> usize {
        let at = self.modules.len();
        self.modules.push(Module { file: file.to_owned(), items: Vec::new(), children: BTreeMap::new(), parent });
        for item in &items {
            let Item::Mod(module) = item else { continue };
            if is_for_tests(&module.attrs) {
                continue;
            }
            let name = module.ident.to_string();
            let below = format!("{folder}{name}/");
            let child = if let Some((_, items)) = &module.content {
                self.take(file, &below, Some(at), items.clone(), read)
            } else {
                let beside = format!("{folder}{name}.rs");
                let path = if read(&beside).is_some() { beside } else { format!("{below}mod.rs") };
                self.load(&path, &below, Some(at), read)
            };
            self.modules[at].children.insert(name, child);
        }
        self.modules[at].items = items;
        at
    }

    /// Marks everything that a module shows.
    fn open(&mut self, at: usize) {
        if !self.open.insert(at) {
            return;
        }
        let items = self.modules[at].items.clone();
        for item in &items {
            match item {
                Item::Mod(module) if is_public(&module.vis) && !is_hidden(&module.attrs) => {
                    if let Some(child) = self.modules[at].children.get(&module.ident.to_string()) {
                        self.open(*child);
                    }
                }
                Item::Use(used) if is_public(&used.vis) && !is_hidden(&used.attrs) => {
                    let mut paths = Vec::new();
                    leaves(&used.tree, &[], &mut paths);
                    for path in &paths {
                        self.show(at, path);
                    }
                }
                Item::Struct(syn::ItemStruct { vis, ident, attrs, .. })
                | Item::Enum(syn::ItemEnum { vis, ident, attrs, .. })
                | Item::Trait(syn::ItemTrait { vis, ident, attrs, .. })
                    if is_public(vis) && !is_hidden(attrs) =>
                {
                    self.types.insert((at, ident.to_string()));
                }
                Item::Fn(function) if is_public(&function.vis) => {
                    self.functions.insert((at, function.sig.ident.to_string()));
                }
                // A macro may make any type that it names.
                Item::Macro(made) if made.ident.is_none() => {
                    let buffer = TokenBuffer::new2(made.mac.tokens.clone());
                    let mut names = Vec::new();
                    idents(buffer.begin(), &mut names);
                    self.types.extend(names.into_iter().map(|name| (at, name)));
                }
                _ => {}
            }
        }
    }

    /// Shows what a path in a module means, wherever that is.
    fn show(&mut self, from: usize, path: &[String]) {
        let (mut at, mut rest) = (from, path);
        while let Some((first, others)) = rest.split_first() {
            let next = match first.as_str() {
                "crate" => Some(0),
                "self" => Some(at),
                "super" => self.modules[at].parent,
                name => self.modules[at].children.get(name).copied(),
            };
            let Some(next) = next else { break };
            (at, rest) = (next, others);
        }
        match rest {
            [] => self.open(at),
            [all] if all == "*" => self.open(at),
            [name, ..] => {
                self.functions.insert((at, name.clone()));
                if !self.types.insert((at, name.clone())) || at == from {
                    return;
                }
                // It may itself come from further below.
                let items = self.modules[at].items.clone();
                for item in &items {
                    let Item::Use(used) = item else { continue };
                    let mut paths = Vec::new();
                    leaves(&used.tree, &[], &mut paths);
                    paths.iter().filter(|path| path.last() == Some(name)).for_each(|path| self.show(at, path));
                }
            }
        }
    }

    fn room(&self, at: usize) -> &str {
        self.modules[at].file.split(['/', '.']).next().unwrap_or_default()
    }

    /// Whether the type of an implementation can be reached.
    fn is_open_type(&self, at: usize, name: &str) -> bool {
        let is_here = self.modules[at].items.iter().any(|item| {
            matches!(item, Item::Struct(syn::ItemStruct { ident, .. }) | Item::Enum(syn::ItemEnum { ident, .. }) if ident == name)
        });
        if is_here {
            return self.types.contains(&(at, name.to_owned()));
        }
        self.types.iter().any(|(of, other)| other == name && self.room(*of) == self.room(at))
    }

    /// Every function and method that can be reached, and those of macros in the rooms that are open.
    pub fn functions(&self) -> Vec<Function> {
        let mut all = Vec::new();
        let rooms: BTreeSet<&str> = self.open.iter().map(|at| self.room(*at)).collect();
        for (at, module) in self.modules.iter().enumerate() {
            let mut say = |name: String, has_example: bool, is_hidden: bool| {
                all.push(Function { name: format!("{}: {name}", module.file), has_example, is_hidden });
            };
            for item in &module.items {
                match item {
                    Item::Fn(one) if is_public(&one.vis) => {
                        let name = one.sig.ident.to_string();
                        if self.functions.contains(&(at, name.clone())) {
                            say(name, has_example(&one.attrs), is_hidden(&one.attrs));
                        }
                    }
                    Item::Trait(one) if self.types.contains(&(at, one.ident.to_string())) => {
                        for item in &one.items {
                            if let TraitItem::Fn(method) = item {
                                let name = format!("{}::{}", one.ident, method.sig.ident);
                                say(name, has_example(&method.attrs), is_hidden(&method.attrs));
                            }
                        }
                    }
                    Item::Impl(one) if one.trait_.is_none() => {
                        let Type::Path(path) = &*one.self_ty else { continue };
                        let Some(owner) = path.path.segments.last().map(|segment| segment.ident.to_string()) else {
                            continue;
                        };
                        if !self.is_open_type(at, &owner) {
                            continue;
                        }
                        for item in &one.items {
                            if let ImplItem::Fn(method) = item
                                && is_public(&method.vis)
                            {
                                let name = format!("{owner}::{}", method.sig.ident);
                                say(name, has_example(&method.attrs), is_hidden(&method.attrs));
                            }
                        }
                    }
                    Item::Macro(made) if rooms.contains(self.room(at)) => {
                        let buffer = TokenBuffer::new2(made.mac.tokens.clone());
                        made_functions(buffer.begin(), &mut |name, has_example| {
                            say(format!("a macro's {name}"), has_example, false);
                        });
                    }
                    _ => {}
                }
            }
        }
        all
    }
}

fn idents(mut at: Cursor<'_>, all: &mut Vec<String>) {
    while !at.eof() {
        if let Some((inside, _, _, after)) = at.any_group() {
            idents(inside, all);
            at = after;
        } else if let Some((ident, after)) = at.ident() {
            all.push(ident.to_string());
            at = after;
        } else if let Some((_, after)) = at.token_tree() {
            at = after;
        }
    }
}

/// The functions that the text of a macro makes public, each with whether there is an example above it.
fn made_functions(mut at: Cursor<'_>, found: &mut dyn FnMut(String, bool)) {
    let (mut example, mut public) = (false, false);
    while !at.eof() {
        let after_hash = at.punct().filter(|(punct, _)| punct.as_char() == '#').map(|(_, after)| after);
        if let Some((inside, _, _, after)) = after_hash.and_then(Cursor::any_group) {
            let text = inside.token_stream().to_string();
            example |= text.starts_with("doc") && text.contains("```");
            at = after;
        } else if let Some((ident, after)) = at.ident() {
            match ident.to_string().as_str() {
                "pub" => {
                    public = after.any_group().is_none();
                    at = after.any_group().map_or(after, |(.., after)| after);
                    continue;
                }
                "const" => {}
                "fn" => {
                    if public {
                        found(after.token_tree().map_or_else(String::new, |(name, _)| name.to_string()), example);
                    }
                    (example, public) = (false, false);
                }
                _ => (example, public) = (false, false),
            }
            at = after;
        } else if let Some((inside, _, _, after)) = at.any_group() {
            made_functions(inside, found);
            (example, public) = (false, false);
            at = after;
        } else if let Some((_, after)) = at.token_tree() {
            (example, public) = (false, false);
            at = after;
        }
    }
}
