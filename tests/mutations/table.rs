//! The mutations: which safeguard each takes out, where, and which tests have to notice.

/// One safeguard less.
pub struct Mutation {
    /// What is done.
    pub name: &'static str,
    /// The file.
    pub file: &'static str,
    /// The code, as it stands there exactly once.
    pub code: &'static str,
    /// What it becomes; `MUTANT` is the condition that the mutation is switched on.
    pub mutated: &'static str,
    /// The tests of the store of which at least one has to fail.
    pub tests: &'static [&'static str],
}

const EVERY_DEED: &str = "deeds::every_failure_of_every_deed_keeps_what_was_acknowledged";
const EVERY_FAILURE: &str = "faults::every_failure_of_a_session_keeps_what_was_acknowledged";

pub const MUTATIONS: [Mutation; 29] = [
    Mutation {
        name: "entries are not synced",
        file: "src/store/log/write.rs",
        code: "        self.file.sync().map_err(|error| format!(\"syncing failed: {error}\"))?;",
        mutated: "        if !MUTANT { self.file.sync().map_err(|error| format!(\"syncing failed: {error}\"))?; }",
        tests: &["faults::a_power_cut_after_any_acknowledged_entry_keeps_it"],
    },
    Mutation {
        name: "the system is never asked to sync a file",
        file: "src/store/disk/local.rs",
        code: "        self.0.sync_data()",
        mutated: "        if MUTANT { return Ok(()); }\n        self.0.sync_data()",
        tests: &["system::nothing_is_acknowledged_before_it_was_synced"],
    },
    Mutation {
        name: "the system is never asked to sync a folder",
        file: "src/store/disk/local.rs",
        code: "        match File::open(folder)?.sync_all() {",
        mutated: "        if MUTANT { return Ok(()); }\n        match File::open(folder)?.sync_all() {",
        tests: &["system::nothing_is_acknowledged_before_it_was_synced"],
    },
    Mutation {
        name: "the system's lock is not asked for",
        file: "src/store/disk/local.rs",
        code: "            match file.try_lock() {",
        mutated: "            match if MUTANT { Ok(()) } else { file.try_lock() } {",
        tests: &["folder::one_writer_at_a_time_and_no_lock_files_are_left"],
    },
    Mutation {
        name: "links are followed",
        file: "src/store/disk/local.rs",
        code: "        let metadata = match fs::symlink_metadata(path) {",
        mutated: "        let metadata = match if MUTANT { fs::metadata(path) } else { fs::symlink_metadata(path) } {",
        tests: &["folder::links_and_pipes_in_place_of_files_are_refused"],
    },
    Mutation {
        name: "a failed sync is overlooked",
        file: "src/store/log/write.rs",
        code: "        let written = self.file.write(bytes)",
        mutated: "        if MUTANT {
            let _overlooked = (self.file.write(bytes), self.file.sync());
            return Ok(());
        }
        let written = self.file.write(bytes)",
        tests: &[EVERY_FAILURE],
    },
    Mutation {
        name: "files are not synced before they get their names",
        file: "src/store/files.rs",
        code: "    write_all(file, bytes)?;\n    file.sync()",
        mutated: "    write_all(file, bytes)?;\n    if MUTANT { return Ok(()); }\n    file.sync()",
        tests: &[EVERY_DEED],
    },
    Mutation {
        name: "tables are not synced before they get their names",
        file: "src/store/files.rs",
        code: "            file.sync().map_err(StoreError::io(\"write\", &self.path))?;",
        mutated: "            if !MUTANT { file.sync().map_err(StoreError::io(\"write\", &self.path))?; }",
        tests: &[EVERY_DEED],
    },
    Mutation {
        name: "folders are not synced",
        file: "src/store/files.rs",
        code: "    let folder = parent(path).unwrap_or(Path::new(\".\"));",
        mutated: "    if MUTANT { return Ok(()); }\n    let folder = parent(path).unwrap_or(Path::new(\".\"));",
        tests: &[EVERY_DEED],
    },
    Mutation {
        name: "folders that are found are not synced",
        file: "src/store/files.rs",
        code: "    match sync_parent(disk, path) {",
        mutated: "    if MUTANT { return Ok(()); }\n    match sync_parent(disk, path) {",
        tests: &["deeds::the_process_that_met_the_failure_can_go_on"],
    },
    Mutation {
        name: "a file is removed before it is replaced",
        file: "src/store/files.rs",
        code: "    if let Err(error) = disk.rename(&draft, path) {",
        mutated: "    if MUTANT { let _ = disk.remove(path); }\n    if let Err(error) = disk.rename(&draft, path) {",
        tests: &[EVERY_DEED],
    },
    Mutation {
        name: "a log goes on after a failure",
        file: "src/store/log/write.rs",
        code: "            self.failed = Some(reason.clone());",
        mutated: "            if !MUTANT { self.failed = Some(reason.clone()); }",
        tests: &[EVERY_FAILURE],
    },
    Mutation {
        name: "a short write is overlooked",
        file: "src/store/log/write.rs",
        code: "        if written < bytes.len() {",
        mutated: "        if written < bytes.len() && !MUTANT {",
        tests: &["faults::a_write_that_is_cut_short_says_so"],
    },
    Mutation {
        name: "nobody looks whether the file is still there",
        file: "src/store/log/write.rs",
        code: "            Ok(Some(kind)) if kind == wanted => Ok(()),",
        mutated: "            Ok(_) if MUTANT => Ok(()),\n            Ok(Some(kind)) if kind == wanted => Ok(()),",
        tests: &["faults::a_journal_that_is_taken_away_is_noticed_at_the_next_answer"],
    },
    Mutation {
        name: "a log is taken up without a fresh copy",
        file: "src/store/log/write.rs",
        code: "        files::replace(disk.as_ref(), path, &bytes[..reading.len])?;",
        mutated: "        if !MUTANT { files::replace(disk.as_ref(), path, &bytes[..reading.len])?; }",
        tests: &["faults::taking_up_again_rests_on_no_earlier_sync"],
    },
    Mutation {
        name: "a torn tail is thrown away",
        file: "src/store/log/write.rs",
        code: "            Ending::Torn { tail, .. } => Some(save_tail(disk.as_ref(), path, tail)?),",
        mutated: "            Ending::Torn { .. } if MUTANT => None,
            Ending::Torn { tail, .. } => Some(save_tail(disk.as_ref(), path, tail)?),",
        tests: &["damage::cut_at_every_byte"],
    },
    Mutation {
        name: "a torn tail is moved after the log was cut",
        file: "src/store/log/write.rs",
        code: "        let reading = parse::<L>(path, &bytes)?;\n        let torn",
        mutated: "        let reading = parse::<L>(path, &bytes)?;
        if MUTANT && !matches!(reading.ending, Ending::Damaged(_)) {
            files::replace(disk.as_ref(), path, &bytes[..reading.len])?;
        }
        let torn",
        tests: &["faults::every_failure_of_a_recovery_keeps_entries_and_tail"],
    },
    Mutation {
        name: "damage is taken for a torn tail",
        file: "src/store/log/read.rs",
        code: "            Err(ScanStop::Cut) => {\n                reading.ending",
        mutated: "            Err(ScanStop::Flaw { .. }) if MUTANT => {
                reading.ending = Ending::Torn { line: start.line(), tail: start.rest().to_vec() };
                break;
            }
            Err(ScanStop::Cut) => {\n                reading.ending",
        tests: &["damage::garbage_at_the_end_is_no_torn_tail"],
    },
    Mutation {
        name: "the digests of a log are not compared",
        file: "src/store/log/scan.rs",
        code: "        if sealed.digits() == written {",
        mutated: "        if sealed.digits() == written || MUTANT {",
        tests: &["damage::records_left_out_doubled_swapped_or_from_elsewhere", "damage::every_bit_flipped"],
    },
    Mutation {
        name: "a link covers its own entry only",
        file: "src/store/digest.rs",
        code: "Sha256::new().chain_update(self.digits())",
        mutated: "Sha256::new().chain_update(if MUTANT { \"\" } else { self.digits() })",
        tests: &[
            "damage::records_left_out_doubled_swapped_or_from_elsewhere",
            "text::the_chain_is_what_its_documentation_says",
        ],
    },
    Mutation {
        name: "numbers of entries are not compared",
        file: "src/store/log/write.rs",
        code: "record.seq().filter(|seq| *seq != self.next)",
        mutated: "record.seq().filter(|seq| *seq != self.next && !MUTANT)",
        tests: &["text::what_would_not_be_read_back_is_refused_and_the_log_goes_on"],
    },
    Mutation {
        name: "a lock keeps nobody out",
        file: "src/store/lock.rs",
        code: "        let owner = format!(\"process {} since {now}\\n\", std::process::id());",
        mutated: "        struct Nothing;
        impl HeldLock for Nothing {}
        if MUTANT {
            return Ok(Self(std::sync::Arc::new(Nothing)));
        }
        let owner = format!(\"process {} since {now}\\n\", std::process::id());",
        tests: &["faults::a_second_writer_is_refused_until_the_first_is_done"],
    },
    Mutation {
        name: "an answer counts although it was not saved",
        file: "src/sessions/bench.rs",
        code: "            journal.append(&entry)?;",
        mutated: "            let saved = journal.append(&entry);\n            if !MUTANT { saved?; }",
        tests: &["bench::every_failure_keeps_the_answers_that_the_person_was_told_of"],
    },
    Mutation {
        name: "a changed copy of a script is taken for the old one",
        file: "src/store/home/scripts.rs",
        code: "        if found == wanted {",
        mutated: "        if found == wanted || MUTANT {",
        tests: &["whole::a_kept_copy_is_what_its_name_says_or_is_named"],
    },
    Mutation {
        name: "the digest of a ticket is not compared",
        file: "src/store/home/yard_run.rs",
        code: "sealed.filter(|(seal, body)| *seal != digest(body.as_bytes()))",
        mutated: "sealed.filter(|(seal, body)| *seal != digest(body.as_bytes()) && !MUTANT)",
        tests: &["whole::a_ticket_is_what_was_settled_or_is_named"],
    },
    Mutation {
        name: "the digest of a bundle is not compared",
        file: "src/store/bundle.rs",
        code: "        if digest != computed {",
        mutated: "        if digest != computed && !MUTANT {",
        tests: &["whole::a_bundle_says_what_it_said_or_is_refused"],
    },
    Mutation {
        name: "a stranger's text comes before its pin",
        file: "src/store/home/pins.rs",
        code: "        files::replace(self.disk.as_ref(), &self.pins_file(), pins.text().as_bytes())?;\n        for",
        mutated: "        if MUTANT {
            for (shelf, id, text) in &texts {
                files::make_folders(self.disk.as_ref(), &self.root.join(shelf.folder()))?;
                files::replace(self.disk.as_ref(), &self.script_file(*shelf, &Id::new(id)?), text.as_bytes())?;
            }
        }
        files::replace(self.disk.as_ref(), &self.pins_file(), pins.text().as_bytes())?;\n        for",
        tests: &[EVERY_DEED],
    },
    Mutation {
        name: "a sale is booked before the prices that belong to it",
        file: "src/store/home/yard_run.rs",
        code: "        if let Some(log) = &mut log {\n",
        mutated: "        if MUTANT { stock.append(&sale)?; }\n        if let Some(log) = &mut log {\n",
        tests: &["settle::a_settlement_that_is_stopped_anywhere_is_there_whole_or_not_at_all"],
    },
    Mutation {
        name: "a torn tail of the folder's logs is written behind without leave",
        file: "src/store/log/write.rs",
        code: "if tail == Tail::Refuse => {",
        mutated: "if !MUTANT && tail == Tail::Refuse => {",
        tests: &["damage::a_torn_tail_is_written_behind_only_after_leave"],
    },
];
