/** Words of the sheets on which something is done: tests, gauges, the first visit. */
export const SAY_WORK = {
  tests: {
    under: (name: string) => `Under way: ${name}`,
    choose: 'Tests of this well',
    chooseNote:
      'What a test finds goes into the well file, with its readings. You may close the page ' +
      'meanwhile and come back: the service goes on with it.',
    asked: (faults: string) => `A finding asks for it: ${faults}`,
    takes: (length: string, by: string) => `It takes ${length}. ${by}`,
    by: {
      owner: 'The keeper can make it.',
      contractor: 'The keeper writes down what the contractor finds.',
      electrician: 'It is for a licensed electrician or pump installer alone.',
    },
    settles: (faults: string) => `Tells apart: ${faults}.`,
    steps: 'Steps and cautions',
    begin: (name: string) => `Begin the ${name}`,
    visit: 'It is made on the spot; nothing of it is followed here.',
    oneAtATime: 'One test at a time: the others wait until it is done or given up.',
    rateUnknown: (needs: string) =>
      `It needs a pressure every ${needs} or faster; how often one comes is not known yet.`,
    rateEnough: (needs: string) => `Readings come fast enough for it (one every ${needs}).`,
    rateOnChange: 'The device tells every change: fast enough for it.',
    rateShort: (needs: string, gets: string) =>
      `It needs a pressure every ${needs}; one comes every ${gets}. The device is asked for more ` +
      'when it begins, and need not obey.',
    readings: 'Readings',
    readingsWait: (needs: string, gets: string) =>
      `This test needs a pressure every ${needs}; one comes every ${gets}. The device is asked ` +
      'for more. It goes on by itself once they come.',
    readingsNone: (needs: string) =>
      `This test needs a pressure every ${needs}; how often one comes is not known yet.`,
    readingsAnyway: 'Go on with the readings as they are',
    pressure: 'Pressure now',
    noPressure: 'no reading yet',
    lastReading: (length: string) => `last reading ${length} ago`,
    strip: (least: string, greatest: string) =>
      `Pressure of the last twenty minutes, between ${least} and ${greatest}.`,
    done: 'It is done',
    anyway: 'Go on without waiting',
    giveUp: 'Give the test up',
    leaving:
      'Given up. One thing is left: turn the pump breaker on. It ends here once the readings ' +
      'show the pump; then put back whatever else was shut or turned off.',
    leave: 'The breaker is on: end it',
    passed: { readings: 'seen in the readings', hand: 'done by hand' },
    seen: {
      hand: 'Say so when it is done.',
      rest: (has: string, needs: string) => `At rest for ${has} of ${needs}.`,
      draw: 'Draw now: the pressure does not fall yet.',
      still: (has: string, needs: string) => `Pressure settles: ${has} of ${needs}.`,
      empty: 'Waits until the pressure is gone.',
      lasts: (has: string, needs: string) => `${has} of ${needs}.`,
      runs: (has: string, needs: string) => `The pump has run for ${has} of ${needs}.`,
      fills: (has: number, needs: number) => `${has} of ${needs} fills seen.`,
      'full-again': 'Waits until the pump is seen to fill the tank.',
    },
    but: {
      'pump-runs': 'The pump runs.',
      'water-drawn': 'Water runs: the pressure falls.',
      'above-cut-in':
        'The pressure is above cut-in, so the pump waits. Draw a little water until it starts.',
      'pump-does-not-start':
        'The pressure is below cut-in and the pump does not start. Is its breaker on?',
    },
    figures: 'What was measured',
    figure: {
      volume: 'Volume drawn',
      pressure: 'Pressure at the air valve',
      flow: 'Flow of the draw',
      level: 'Depth to water',
      pump: 'Pump',
      points: 'Flow at the steady pressure of now',
    } as Record<string, string>,
    words: { resting: 'resting', running: 'running' } as Record<string, string>,
    examples: {
      us: { volume: '8.00 gal', pressure: '38 psi', flow: '4.0 gpm', length: '112 ft' },
      si: { volume: '30.0 L', pressure: '260 kPa', flow: '15 L/min', length: '34.0 m' },
    } as Record<'us' | 'si', Record<string, string>>,
    withUnit: (example: string) => `with its unit, as in ${example}`,
    mayBeLeft: 'may be left out',
    note: 'Note it',
    noted: (value: string) => `noted: ${value}`,
    addPoint: 'Note this point',
    points: 'Points so far',
    pointAt: (flow: string, pressure: string) => `${flow} at ${pressure}`,
    missing: (what: string) => `All steps are done. Still to be noted: ${what}.`,
    working: 'Worked out from all readings, as a study does…',
    result: 'What it found',
    keep: 'Write it into the well file',
    drop: 'Leave it out',
    made: 'Tests made here',
    kept: 'in the well file',
    givenUp: 'given up',
    trace: (name: string, when: string) => `Pressure during the ${name} of ${when}`,
  },
  gauges: {
    chain: 'The measuring chain',
    chainNone:
      'The well file does not tell the measuring chain yet, so it cannot be checked: whether ' +
      'something in it would be destroyed, would read wrong, or is too coarse.',
    chainSound: 'Nothing wrong was found with what is told.',
    chainWrong: 'What the well file says of the chain cannot be read:',
    does: { destroys: 'Destroys', misleads: 'Misleads', limits: 'Limits' },
    notJudged: 'Not judged',
    beforeFitting: 'Before it is fitted',
    title: { pressure: 'Pressure gauge', current: 'Clamp meter' },
    raw: 'Raw reading now',
    rawNone: 'no raw reading comes',
    rawScatter: (scatter: string, count: number) => `± ${scatter} in each of ${count} readings`,
    reads: 'It reads',
    inForce: (since: string) => `by the calibration since ${since}`,
    notInForce: 'no calibration is in force: raw readings are kept and wait for one',
    plain: (value: string, beside: string) =>
      `The device itself sends ${value}, calibrated already: compare it with the ${beside}, and ` +
      'calibrate the device. A calibration here is for devices that send volts or counts.',
    beside: { pressure: 'gauge', current: 'clamp meter' },
    nothing: 'Nothing has come on this channel for three minutes.',
    begin: { pressure: 'Calibrate pressure', current: 'Calibrate the current' },
    begun:
      'Bring the pressure or current to a value and hold it. When the raw reading is steady, ' +
      'type what the gauge or clamp meter shows.',
    reference: { pressure: 'The gauge shows', current: 'The clamp meter shows' },
    uncertainty: 'give or take (may be left out)',
    take: 'Take this point',
    points: 'Points',
    columns: { raw: 'Raw', reference: 'Reference', residual: 'Off the line', drop: 'Leave out' },
    drop: (place: number) => `Leave out point ${place}`,
    residuals: 'Residuals',
    next: 'Next point',
    nextNone: 'A further point would better it little.',
    doubts: 'What cannot be claimed',
    atEnds: 'Uncertainty where it is used',
    against: 'Against the last calibration',
    holds: 'From when on does it hold?',
    holdsFrom: {
      record: (when: string) => `for the whole record of this sensor, since ${when}`,
      calibration: (when: string) => `in place of the one in force, since ${when}`,
      now: (when: string) => `from now on, since ${when}: the past stays as it is`,
    },
    compare: 'Compare the last days under both',
    comparing: 'Both are worked out…',
    compared: 'The last days, before and after',
    what: {
      cutIn: 'Cut-in',
      cutOut: 'Cut-out',
      current: 'Current of a run',
      used: (date: string) => `Used on ${date}`,
      lost: (date: string) => `Lost on ${date}`,
    },
    noneBefore: {
      pressure:
        'No calibration was in force, so no pressure could be read before: the volts or counts ' +
        'were kept, and this one reads them for the first time. What stands under “as it is” ' +
        'comes from the current alone.',
      current:
        'No calibration was in force, so no current could be read before: the volts or counts ' +
        'were kept, and this one reads them for the first time. What stands under “as it is” ' +
        'comes from the pressure alone.',
    },
    head: { before: 'as it is', after: 'with the new one', change: 'change' },
    unknown: 'not known',
    compareFirst: 'Compare first: what it does to the past is seen before it is taken.',
    keep: 'Write it into the well file',
    giveUp: 'Give the calibration up',
  },
  installation: {
    title: 'The installation',
    open: 'Work it out from the well file',
    known: (known: number, of: number) =>
      `${known} of ${of} results can be worked out from what the well file tells; nothing here ` +
      'was measured. Local code and a licensed installer come first.',
    none: 'Nothing that could be judged is beyond its limit.',
    limit: (rule: string, source: string) => `The limit: ${rule} (${source}).`,
    working: 'All results, with the working',
  },
  chain: {
    title: 'Tell the chain',
    intro:
      'Questions part by part, in any order and as often as you like. Answer from labels and ' +
      'papers: nothing need be opened. What you do not know is left out, and not judged.',
    part: {
      pressure: 'The pressure sensor',
      current: 'The current clamp',
      converter: 'The converter',
      bus: 'The bus between converter and controller',
      sampling: 'How often it reads',
    },
    told: (count: number, of: number) => `${count} of ${of} answered`,
    rest: 'Leave the rest as it is',
    leave: 'Leave the questions',
    left: 'Nothing was written.',
    changes: 'What is written into the well file; every other line stays as it is:',
    nothing: 'Nothing is answered otherwise than the well file has it.',
    out: 'is taken out',
    put: 'Write it into the well file',
    done: 'It stands in the well file, and the chain is checked by it.',
  },
  visit: {
    title: 'A new well',
    intro:
      'Questions make the file of the well, what matters most first. Answer from papers and ' +
      'labels only: nothing need be opened, drained or switched. What you do not know is left ' +
      'out, and can be told later; less knowledge gives wider uncertainty, never a refusal.',
    question: (place: number, of: number) => `Question ${place} of ${of}`,
    good: (gives: string) => `Good for: ${gives}.`,
    example: (example: string) => `such as ${example}`,
    next: 'Next',
    dontKnow: 'I don’t know',
    back: 'Back',
    rest: 'The rest is not known',
    file: 'The file as it will be',
    make: 'Make this well',
    again: 'Go back to the questions',
    add: 'Add a well',
    pair: 'Pair a device',
    pairIntro:
      'A device hands in its readings at one of these; a reading by hand shows that it works.',
    local:
      'The service listens on its own machine alone: start it with --host and the address of ' +
      'that machine, or no other device reaches it.',
    http: 'HTTP',
    mqtt: 'MQTT',
    byHand: 'By hand',
    authority: 'Lines with TLS trust the service by the certificate of this house, saved as',
    keys:
      'A device says who it is by a user and a key, which is shown this once and kept only as a ' +
      'hash. One that was lost is replaced: a new key for the same name ends the old one, and ' +
      'the readings go on.',
    deviceName: 'Name of the device',
    deviceNameRule: '1 to 32 of a-z, 0-9 and hyphen',
    makeKey: 'Make its key',
    keyMade: (device: string) =>
      `The key of ${device}, shown this once; it stands in the lines below, too.`,
    keyOver: (device: string) => `The key of ${device} is over.`,
    keySince: (when: string) => `has a key since ${when}`,
    replaceKey: (device: string) => `Replace the key of ${device}`,
    endKey: (device: string) => `End the key of ${device}`,
    keySure: {
      replace: (device: string) =>
        `The key that ${device} has now is over at once, and it sends nothing until it has the ` +
        'new one.',
      end: (device: string) => `${device} is shut out at once, and sends nothing any more.`,
    },
    leaveKey: 'Leave it',
    user: 'User',
    key: 'Key, the password',
    senderKeyed:
      'A sender for a microcontroller is device/main.py: user and key go into device/settings.py ' +
      'as USER and PASSWORD. It speaks MQTT without TLS, which the service takes with ' +
      '--plain-mqtt; docs/device.md tells the rest, docs/access.md what that costs.',
    sender: 'A sender for a microcontroller is device/main.py; docs/device.md tells how it is set.',
    waiting: 'No reading has come yet. The first one shows here as it arrives.',
    arrived: (count: number, when: string) =>
      `Readings arrive: ${count} so far, the last at ${when}.`,
    arrive: 'Readings arrive.',
    steps: 'First steps',
    stepsNote: 'In this order; each says what it will make known.',
    done: 'done',
    open: 'to do',
    cannotSee: 'not seen from here',
    madeOf: (made: number, wanted: number) => `done ${made} of ${wanted} times`,
    tells: (what: string) => `Tells ${what}.`,
    goTo: { tests: 'Go to Tests', gauges: 'Go to Gauges', runs: 'Go to Runs' },
    step: {
      chain: {
        what: 'Tell the measuring chain, from labels and papers',
        tells: 'what in it would be destroyed, read wrong or be too coarse, before it is wired',
      },
      pressure: {
        what: 'The device sends pressure',
        tells: 'whether there is water, when the pump starts and stops, what is drawn',
      },
      current: {
        what: 'The device sends the current of the pump',
        tells: 'runs to the second, energy, and what is wrong with the motor',
      },
      zero: {
        what: 'Compare the pressure with a gauge, at two pressures and at zero',
        tells: 'how far each pressure can be trusted',
      },
      clamp: {
        what:
          'Read the current with the pump off, and have an electrician compare it, running, with ' +
          'a clamp meter',
        tells: 'how far amps and energy can be trusted',
      },
      runs: {
        what: 'Let it run: twelve whole runs',
        tells: 'cut-in, cut-out, and what the pump gives against pressure',
      },
      precharge: {
        what: 'Precharge test',
        tells: 'whether the tank has its air, and how much water it can give',
      },
      fill: {
        what: 'Fill test: three fills with the house valve shut',
        tells: 'what the pump gives and takes against pressure while nothing is drawn',
      },
      bucket: {
        what: 'Bucket test, three times',
        tells: 'gallons instead of shares of the tank: use, loss, delivery',
      },
      isolation: {
        what: 'Isolation test',
        tells: 'what is lost at rest, and on which side of the house valve',
      },
      level: {
        what: 'Sounding, or the static level of the driller’s log',
        tells: 'how deep the water stands, rested and pumping',
      },
      insulation: {
        what: 'Have an electrician measure the insulation of the motor',
        tells: 'a figure to hold later ones against: two sensors cannot see it',
      },
    },
  },
};
