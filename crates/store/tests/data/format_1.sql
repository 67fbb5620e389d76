-- Entries as a program of format 1 stored them. Hashes made with Python's hashlib and struct, not with this program.
INSERT INTO entry (job, seq, format, at_ms, recorded_ms, written_by, kind, body, command, prev, hash) VALUES
    ('j-7', 1, 1, 1700000000000, 1700000000250, 'Kim', 'PlugProven', '{"plug":"fill"}', 'c-1',
    '0000000000000000000000000000000000000000000000000000000000000000',
    '37514a878206d5faa5fb3b51f2dbfec92baa655c7763a363dfaddb759e36ab9c');
INSERT INTO entry (job, seq, format, at_ms, recorded_ms, written_by, kind, body, command, prev, hash) VALUES
    ('j-7', 2, 1, -1, 1700000060000, 'Çelik', 'DrainOpened', '{"temp_c":38.5,"note":"≈ 4 L"}', 'c-2',
    '37514a878206d5faa5fb3b51f2dbfec92baa655c7763a363dfaddb759e36ab9c',
    '0d4c7e1e85d8e8345af7f12956201cc28bf491c69dc9684a6cfaf69e879b1c1a');
INSERT INTO entry (job, seq, format, at_ms, recorded_ms, written_by, kind, body, command, prev, hash) VALUES
    ('j-7', 3, 1, 1700000120000, 1700000120001, 'Kim', 'DrainClosed', '{}', 'c-2',
    '0d4c7e1e85d8e8345af7f12956201cc28bf491c69dc9684a6cfaf69e879b1c1a',
    'cfa8bcbca25229bdab6edf399a7c0d0c169f86da03ee47b0a644a77f7b842eb7');
