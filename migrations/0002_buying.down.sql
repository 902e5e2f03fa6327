DROP TABLE attachments, tasks, jobs, bids, scopes, findings, surveys, instruments, stations, people;
