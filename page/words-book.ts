/** Words of the Well book. */
export const SAY_BOOK = {
  due: {
    title: 'What comes round',
    names: {
      'air-charge': 'Air charge of the tank',
      'water-sample': 'Water sample',
      calibration: 'Sensors against gauge and clamp meter',
    },
    acts: {
      'air-charge': 'check the air charge of the tank',
      'water-sample': 'take a water sample',
      calibration: 'compare the sensors with gauge and clamp meter',
    },
    last: (date: string) => `last on ${date}`,
    never: 'not in the book yet',
    since: (date: string) => `due since ${date}`,
    by: (date: string) => `due by ${date}`,
    opened: (date: string) => `due since the plumbing or the well was open, ${date}`,
    how: 'How',
    writeSample: 'Write it in the book',
    sample:
      "In a laboratory's bottle and by its directions; coliform bacteria and nitrate each year, " +
      'and what the health department names for your place. Write it below as a water sample.',
    calibration:
      'Compare with a gauge and a clamp meter at two or more points. Without it a drift of the ' +
      'sensor can look like one of the well.',
    note: 'Once a year by common practice; the book tells when it was done last.',
  },
  write: {
    title: 'Write in the book',
    what: 'What',
    note: 'a note',
    sample: 'a water sample taken',
    service: 'a service',
    when: (zone: string) => `When (times of ${zone})`,
    says: 'What there is to say',
    photos: 'Photos (JPEG, PNG, WebP; place and time in them are removed)',
    did: 'What was done',
    ends: 'What was worked on: what was learnt of it ends, and is learnt anew',
    holds: 'What holds from now on',
    part: 'Part',
    value: 'Value with its unit',
    source: 'From',
    sources: { nameplate: 'nameplate', measured: 'measured', guess: 'a guess' },
    another: 'One more',
    cautions: 'Before such work',
    put: 'Put it in the book',
    underWay: 'Being written…',
    done: 'It is in the book.',
    noName: 'Say who you are.',
    noWords: 'Say what there is to say, or add a photo.',
    noTime: 'That time does not occur here: the clocks change.',
    failed: (why: string) => `It is not in the book: ${why}`,
    wrong: 'It is not in the book:',
    expected: (expected: string, found: string) => `expected ${expected}, found ${found}`,
  },
  list: {
    title: 'The book',
    none: 'Nothing is in the book yet.',
    columns: { when: 'When', kind: 'Kind', what: 'What', by: 'By' },
    photo: (place: number, title: string) => `Photo ${place} of: ${title}`,
    before: 'the text of before',
  },
  takeAway: {
    title: 'Take it away',
    open: 'The record as files',
    files: {
      'study.txt': 'The study of all readings, as text',
      study: 'The same study as JSON',
      'log.csv': 'All raw readings as a log, CSV',
      'log.senml': 'The same as SenML',
      book: 'The journal of this book as JSON',
    },
    backupNote:
      'A backup holds all wells, their journals with photos and earlier texts of the files, but ' +
      'no passphrase or key. Keep it elsewhere; “store restore” brings it back.',
    backup: 'Make a backup and take it',
    underWay: 'It is being made and checked…',
    done: 'Made, checked and handed to this browser as a file.',
  },
  broken: {
    title: (well: string) => `The file of ${well} cannot be used`,
    short: 'Its file cannot be used, so nothing is told of it: open it to mend it.',
    note: (readings: number) =>
      'Nothing is analysed and no alarm raised for this well until its file is mended; readings ' +
      `are kept meanwhile (${readings} so far) and read then. Other wells go on.`,
  },
  contractor: {
    title: 'Page for the contractor',
    note:
      'Two pages to print or send: one to read in two minutes, with what the readings speak for ' +
      'and what to measure that they cannot tell, and one to look up.',
    complaint: 'The complaint, in your own words',
    html: 'Open it, to print',
    pdf: 'As PDF, to send',
  },
  file: {
    title: 'The well file',
    note:
      'All that the analysis takes for given. Each line of yours stays as it is; the text of ' +
      'before is kept with each change.',
    edit: 'Edit it here',
    read: 'Read it here',
    text: 'Text of the well file',
    right: 'Nothing is wrong in it.',
    wrong: (count: number) => (count === 1 ? 'One thing is wrong:' : `${count} things are wrong:`),
    place: (line: number, column: number) => `Line ${line}, column ${column}`,
    put: 'Let it hold',
    unchanged: 'Nothing was changed.',
    done: 'It holds now. What was read before is read again by it.',
    changed: 'Somebody else has changed the file meanwhile. Nothing of yours was written.',
    theirs: 'Take the text that is there; mine goes',
    mine: 'Put mine in its place',
    failed: (why: string) => `It does not hold: ${why}`,
    mendFirst: 'It does not hold: mend what is wrong first.',
  },
} as const;
