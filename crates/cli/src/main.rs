//! `giveway`: what happens when a vehicle strikes a lighting pole on a slip base, from the command line.
//!
//! This crate reads files, renders text for a terminal and sets exit codes. It computes nothing.

mod arguments;
mod commands;
mod exit;
mod input;
mod output;
mod people;
mod rendering;
mod run_folder;
mod signals;
mod terminal;

use clap::Parser;
use std::process::ExitCode;

use arguments::{Arguments, Command};

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(told) => return terminal::told_by_the_grammar(&told),
    };
    if let Err(problem) = people::remember(&arguments) {
        terminal::complain(&problem);
        return exit::Exit::Usage.into();
    }
    // A study ends by itself after the runs in hand. Without signals the program works all the same.
    if !matches!(arguments.command, Command::Study(_)) {
        let _ = signals::clear_up_on_end();
    }
    let code = match &arguments.command {
        Command::Run(run) => commands::run::run(run),
        Command::Check(check) => commands::check::check(check),
        Command::Explain(explain) => commands::explain::explain(explain),
        Command::Export(export) => commands::export::export(export),
        Command::Sheet(sheet) => commands::sheet::sheet(sheet),
        Command::Window(window) => commands::window::window(window),
        Command::Study(study) => commands::study::study(study),
        Command::Merge(merge) => commands::merge::merge(merge),
        Command::Draw(draw) => commands::draw::draw(draw),
        Command::Film(film) => commands::film::film(film),
        Command::Scene(scene) => commands::scene::scene(scene),
        Command::Compare(compare) => commands::compare::compare(compare),
        Command::Rerun(rerun) => commands::rerun::rerun(rerun),
        Command::Note(note) => commands::note::note(note),
        Command::Seal(seal) => commands::seal::seal(seal),
        Command::Lesson(lesson) => commands::lesson::lesson(lesson),
        Command::Report(report) => commands::report::report(report),
        Command::Record(record) => commands::record::record(record),
        Command::Fit(fit) => commands::fit::fit(fit),
        Command::Plan(plan) => commands::plan::plan(plan),
        Command::Inspect(inspect) => commands::inspect::inspect(inspect),
        Command::Page(page) => commands::page::page(page),
        Command::Form(form) => commands::form::form(form),
    };
    code.into()
}
