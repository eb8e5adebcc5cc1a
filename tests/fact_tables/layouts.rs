//! The layout tables: bits, marks of the source, what they are. The marks are those of `src/code/source.rs`, written as in
//! the tables they were taken from: `yN` Doc 9871 draft, `aN` Annex 10 Volume III, `hb-N` and `hbm-N` the handbook,
//! `AX` and `AY` the exchange standard (categories 021 and 048), `MM` a maintenance manual, `V3` read as in version 2,
//! `mem` from memory.

/// Tables whose layout no source gives: they are kept whole.
pub const WITHOUT: &[&str] = &[
    "surface system status",
    "target state and status, layout not held",
    "trajectory change point, layout not held",
    "operational coordination, layout not held",
    "reserved",
];

#[rustfmt::skip]
pub const LAYOUTS: &[(&str, &str)] = &[
    // Squitter messages.
    ("ME 00", "
        1-5 a64,y140 type code
        6-7 a64 alert
        8 a64 reserved
        9-20 y140,a64 altitude
        21-56 y140,a64 reserved"),
    ("ME 58", "
        1-5 y192,hb-3 type code
        6-7 a64,hb-3 surveillance status
        8 y201,a64,hb-3,hb-7 nic supplement b single antenna
        9-20 a64,hb-3 altitude
        21 a64,hb-3 utc
        22 a64,y202,hb-3 even odd
        23-39 a64,hb-3 cpr latitude
        40-56 a64,hb-3 cpr longitude"),
    ("ME 38", "
        1-5 hb-4 type code
        6-12 hb-4 movement
        13 y143,a52,hb-4 track status
        14-20 y143,y202,a52,hb-4 track heading
        21 a52 utc
        22 a52,y202 even odd
        23-39 hb-4 cpr latitude
        40-56 hb-4 cpr longitude"),
    ("ME 20", "
        1-5 y250,y192,hb-2 type code
        6-8 y250,hb-2 emitter category
        9-56 y250,hb-2 eight characters six bits"),
    ("ME 99", "
        1-5 y251,hb-5 type code
        6-8 y251,y252,hb-5 subtype
        9 y251,hb-5 intent change
        10 y251,y69,hb-5 ifr reserved
        11-13 y69,y170,y251,hb-5,hb-7 nacv nucr
        14 y251,hb-5 east west
        15-24 y251,hb-5 east-west speed
        25 hb-5 north south
        26-35 hb-5,y251 north-south speed
        36 hb-5 vertical rate source
        37 hb-5 up down
        38-46 hb-5 vertical rate
        47-48 hb-5 reserved
        49 hb-5 geometric above below pressure
        50-56 hb-5 geometric minus pressure"),
    ("ME 9B", "
        1-5 y251,hb-5 type code
        6-8 y251,y252,hb-5 subtype
        9 y251,hb-5 intent change
        10 y251,y69,hb-5 ifr reserved
        11-13 y69,y170,y251,hb-5,hb-7 nacv nucr
        14 y252,hb-5 heading status
        15-24 y252,y70,hb-5 heading
        25 y185,hb-5 indicated true
        26-35 hb-5 airspeed
        36 hb-5 vertical rate source
        37 hb-5 up down
        38-46 hb-5 vertical rate
        47-48 hb-5 reserved
        49 hb-5 geometric above below pressure
        50-56 hb-5 geometric minus pressure"),
    ("ME E1", "
        1-5 y172 type code
        6-8 y172,a75,hb-1 subtype
        9-11 y172,a75 emergency
        12-24 y172,mem mode a
        25-56 y172 reserved"),
    ("ME E2", "
        1-5 y172 type code
        6-8 y172 subtype
        9 hbm-6,hbm-4,AX one threat
        10 hbm-6,hbm-4,AX corrective upward
        11 hbm-6,hbm-4,AX downward positive climb
        12 hbm-6,hbm-4,AX increased rate downward
        13 hbm-6,hbm-4,AX sense reversal positive descent
        14 hbm-6,hbm-4,AX altitude crossing
        15 hbm-6,hbm-4,AX positive vertical speed limit sense reversal
        16-22 hbm-6,hbm-4,AX reserved
        23 hbm-6,hbm-4,AX do not pass below
        24 hbm-6,hbm-4,AX do not pass above
        25 hbm-6,hbm-4,AX do not turn left
        26 hbm-6,hbm-4,AX do not turn right
        27 hbm-6,hbm-4,AX terminated
        28 hbm-6,hbm-4,AX two or more threats
        29-30 hbm-6,AX threat kind
        31-56 hbm-6,AX address altitude range bearing"),
    ("ME EA", "
        1-5 y256 type code
        6-7 y256 subtype
        8 y256,y209 integrity supplement
        9 y256 panel flight management
        10-20 y256 selected altitude
        21-29 y256 barometric setting
        30 y256 selected heading
        31-39 y212,y256,AX selected heading
        40-43 mem nacp
        44 mem nic baro
        45-46 mem sil
        47 y215 modes
        48 y215 autopilot
        49 y215 vertical navigation
        50 y215,AX altitude hold
        51 mem reserved
        52 y215,AX approach
        53 mem acas operational
        54 y215,AX lateral navigation
        55-56 mem reserved"),
    ("ME E8 v1", "
        1-5 y174 type code
        6-7 y174 subtype
        8-9 y320 vertical source
        10 y320 target altitude type
        11 y174 backward compatibility
        12-13 y148 altitude capability
        14-15 y148,y321 vertical mode
        16-25 y149,y321 target altitude
        26-27 y149,mem horizontal source
        28-36 y150 heading track
        37 y150 heading track
        38-39 y150,mem horizontal mode
        40-43 y174 nacp
        44 y174,y324 nic baro
        45-46 mem sil
        47-51 mem reserved
        52 mem acas not operational
        53 mem resolution advisory active
        54-56 mem emergency"),
    ("ME F8000000004000", "
        1-5 y218,hb-6 type code
        6-8 y218,y140,hb-6 subtype
        9-10 y219 reserved
        11 y219 acas operati
        12 y219 receive 1090es
        13-14 y219 reserved
        15 y219 air-referenced velocity
        16 y219 target state
        17-18 y219 trajectory change
        19 y219 uat
        20 y219 reserved
        21-24 y219 reserved
        25-26 y220 reserved
        27 y220,y157 resolution advisory active
        28 y157,mem ident
        29 y157,mem reserved
        30 mem single antenna
        31-32 y225 sda
        33-40 y227 reserved
        41-43 y157,hb-1,hb-6 version
        44 y157,hb-6,hb-7 nic supplement a
        45-48 y223,hb-6,hb-7 nacp
        49-50 y223,hb-6 gva
        51-52 hb-6,hb-7 sil
        53 y161,hb-6 nic baro
        54 y143,y202,hb-6,AX magnetic true
        55 hb-6,hb-7 sil supplement
        56 hb-6 reserved"),
    ("ME F9000000004000", "
        1-5 y218,hb-6 type code
        6-8 y218,y140,hb-6 subtype
        9-10 y219 reserved
        11 mem reserved
        12 mem receive 1090es
        13-14 mem reserved
        15 y220,mem 70 w
        16 y220,mem uat
        17-19 y220,mem nacv
        20 y220,hb-7 nic supplement c
        21-24 hb-6,y224 length width
        25-26 y220 reserved
        27 y220,y157 resolution advisory active
        28 y157,mem ident
        29 y157,mem reserved
        30 mem single antenna
        31-32 y225 sda
        33-35 y227 antenna lateral|antenna centre line
        36-40 y227,mem antenna longitudinal
        41-43 y157,hb-1,hb-6 version
        44 y157,hb-6,hb-7 nic supplement a
        45-48 y223,hb-6,hb-7 nacp
        49-50 hb-6 reserved
        51-52 hb-6,hb-7 sil
        53 y162,hb-6,mem heading ground track
        54 y143,y202,hb-6,AX magnetic true
        55 hb-6,hb-7 sil supplement
        56 hb-6 reserved"),
    ("ME F8000000002000 v1", "
        1-5 y140,hb-6 type code
        6-8 y140,hb-6 subtype
        9-10 y156 service level
        11 mem not operating
        12 mem traffic display|cdti
        13-14 mem service level
        15 mem air-referenced velocity
        16 y156 target state
        17-18 y156 trajectory change
        19-24 mem reserved
        25-26 y220 reserved
        27 y157 resolution advisory active
        28 y157,mem ident
        29 y157,mem receives air traffic services
        30-40 mem reserved
        41-43 y157,hb-1,hb-6 version
        44 y157,hb-6,hb-7 nic supplement
        45-48 y159,hb-6,hb-7 nacp
        49-50 hb-6,mem barometric altitude quality
        51-52 hb-6,hb-7 sil
        53 y161,hb-6 nic baro
        54 y143,hb-6,AX magnetic true
        55-56 hb-6 reserved"),
    ("ME F9000000002000 v1", "
        1-5 y140,hb-6 type code
        6-8 y140,hb-6 subtype
        9-10 y156 service level
        11 y156 position reference point
        12 y156 traffic display|cdti
        13-14 y156 service level
        15 y156,mem 70 w
        16-20 y156 reserved
        21-24 hb-6,y162 length width
        25-26 y220 reserved
        27 y157 resolution advisory active
        28 y157,mem ident
        29 y157,mem receives air traffic services
        30-40 mem reserved
        41-43 y157,hb-1,hb-6 version
        44 y157,hb-6,hb-7 nic supplement
        45-48 y159,hb-6,hb-7 nacp
        49-50 hb-6 reserved
        51-52 hb-6,hb-7 sil
        53 y162,hb-6,mem heading ground track
        54 y143,hb-6,AX magnetic true
        55-56 hb-6 reserved"),
    // Version 3: what the exchange standard says of its bits, and the fields of version 2.
    ("ME F8000000006000", "
        1-5 y218,V3 type code
        6-8 y218,V3 subtype
        9-10 y219 as received
        11 y219,V3 acas operati
        12 AX,y219 receive 1090es
        13-14 y219 as received
        15 y219,V3 air-referenced velocity
        16 y219,V3 target state
        17-18 AX transmit power
        19 AX,y219 uat
        20-22 y219 as received
        23-24 AX detect and avoid
        25-26 y220 as received
        27 y220,V3 resolution advisory active
        28 y157,mem ident
        29 AX reply rate limiting
        30 AX,mem single antenna
        31-32 y225,V3 sda
        33-39 AX collision avoidance sense type
        40 AX as received remain-well-clear unmanned
        41-43 AX,y157 version
        44 y157,V3 nic supplement a
        45-48 y223,V3 nacp
        49-50 y223,V3 gva
        51-52 hb-6,V3 sil
        53 y161,V3 nic baro
        54 AX,y202 magnetic true
        55 hb-6,V3 sil supplement
        56 hb-6 as received"),
    ("ME F9000000006000", "
        1-5 y218,V3 type code
        6-8 y218,V3 subtype
        9-10 y219 as received
        11 mem as received
        12 AX,mem receive 1090es
        13-14 mem as received
        15 y220,mem as received 70 w
        16 AX,mem uat
        17-19 y220,AX,mem as received nacv transmit power
        20 y220,V3 nic supplement c
        21-24 y224,V3 length width
        25-26 y220 as received
        27 y220,V3 resolution advisory active
        28 y157,mem ident
        29 y157,AX as received
        30 AX,mem single antenna
        31-32 y225,V3 sda
        33-35 AX antenna centre line
        36-40 AX antenna nose
        41-43 AX,y157 version
        44 y157,V3 nic supplement a
        45-48 y223,V3 nacp
        49-50 hb-6 as received
        51-52 hb-6,V3 sil
        53 y162,mem heading ground track
        54 AX,y202 magnetic true
        55 hb-6,V3 sil supplement
        56 hb-6 as received"),
    ("ME F8 v0", "
        1-5 a75,hb-6 type code
        6-8 hb-6 subtype
        9-12 hb-6 capability class en route
        13-16 hb-6 capability class terminal
        17-20 hb-6 capability class approach landing
        21-24 hb-6 capability class surface
        25-28 hb-6 operational mode 4
        29-32 hb-6 operational mode 3
        33-36 hb-6 operational mode 2
        37-40 hb-6 operational mode 1
        41-43 y157,hb-1,hb-6 version
        44-56 hb-6 reserved"),
    ("ME F8000000008000", "
        1-5 y218 type code
        6-8 y218 subtype
        9-40 y218 as received
        41-43 y157,hb-1,hb-6 version
        44-56 y218 as received"),
    ("ME B8", "
        1-5 mem type code
        6-8 mem subtype
        9-56 mem as received"),
    ("ME BF v1", "
        1-5 mem type code
        6-8 mem subtype
        9-21 mem mode a
        22-56 mem reserved"),
    // TIS-B and what else a ground station sends.
    ("CF2 58", "
        1-5 y192 type code
        6-7 a64,hb-3 alert
        8 mem imf
        9-20 a64,hb-3 altitude
        21 mem reserved
        22 a64,y202,hb-3 even odd
        23-39 a64,hb-3 cpr latitude
        40-56 a64,hb-3 cpr longitude"),
    ("CF2 38", "
        1-5 hb-4 type code
        6-12 hb-4 movement
        13 y143,a52,hb-4 track status
        14-20 y143,y202,a52,hb-4 track heading
        21 mem imf
        22 a52,y202 even odd
        23-39 hb-4 cpr latitude
        40-56 hb-4 cpr longitude"),
    ("CF2 20", "
        1-5 y250,y192,hb-2 type code
        6-8 y250,hb-2 emitter category
        9-56 y250,hb-2 eight characters six bits"),
    ("CF2 99", "
        1-5 y185,hb-5 type code
        6-8 y179,y261 subtype
        9 y179,y185 imf
        10-13 y185 nacp
        14 y185,hb-5 east west
        15-24 y185,hb-5 east-west speed
        25 y185,hb-5 north south
        26-35 y185,hb-5 north-south speed
        36 mem geo
        37 mem up down
        38-46 mem vertical rate
        47 mem nic supplement
        48-50 mem nacv
        51-52 mem sil
        53-56 mem reserved"),
    ("CF2 99000000100000", "
        1-5 y185,hb-5 type code
        6-8 y179,y261 subtype
        9 y179,y185 imf
        10-13 y185 nacp
        14 y185,hb-5 east west
        15-24 y185,hb-5 east-west speed
        25 y185,hb-5 north south
        26-35 y185,hb-5 north-south speed
        36 mem geo
        37 mem up down
        38-46 mem vertical rate
        47 mem nic supplement
        48 mem reserved
        49 mem geometric above below pressure
        50-56 mem geometric minus pressure"),
    ("CF2 9B", "
        1-5 y185,hb-5 type code
        6-8 y179,y261 subtype
        9 y179,y185 imf
        10-13 y185 nacp
        14 y185,hb-5 heading holds
        15-24 y185,hb-5 heading
        25 y185 indicated true
        26-35 y185,hb-5 airspeed
        36 mem geo
        37 mem up down
        38-46 mem vertical rate
        47 mem nic supplement
        48-50 mem nacv
        51-52 mem sil
        53-56 mem reserved"),
    ("CF2 9B000000100000", "
        1-5 y185,hb-5 type code
        6-8 y179,y261 subtype
        9 y179,y185 imf
        10-13 y185 nacp
        14 y185,hb-5 heading holds
        15-24 y185,hb-5 heading
        25 y185 indicated true
        26-35 y185,hb-5 airspeed
        36 mem geo
        37 mem up down
        38-46 mem vertical rate
        47 mem nic supplement
        48 mem reserved
        49 mem geometric above below pressure
        50-56 mem geometric minus pressure"),
    ("CF3 00", "
        1 y186 imf
        2-3 y186 alert ident
        4-7 y186 service volume
        8-19 y186 pressure altitude
        20 y186 track holds
        21-25 y186,mem track
        26-31 y186 ground speed
        32 y186 even odd
        33-44 y186 cpr latitude
        45-56 y186 cpr longitude"),
    ("CF4 00", "1-56 CF1,mem as received"),
    ("CF7 00", "1-56 CF1,mem as received"),
    // ADS-R of an airborne position: the place of the IMF is not settled.
    ("CF6 58", "
        1-5 y192,hb-3 type code
        6-7 a64,hb-3 alert
        8 mem imf version 1
        9-20 a64,hb-3 altitude
        21 mem imf version 2
        22 a64,y202,hb-3 even odd
        23-39 a64,hb-3 cpr latitude
        40-56 a64,hb-3 cpr longitude"),
    // The coordination reply in format 16.
    ("MV 30", "
        1-8 HB-4 vds
        9 A4-77,HB-4 one threat
        10 HB-4 corrective upward
        11 HB-4 downward positive climb
        12 HB-4 increased rate downward
        13 HB-4 sense reversal positive descent
        14 HB-4 altitude crossing
        15 HB-4 positive vertical speed limit sense reversal
        16-22 HB-4 reserved
        23 A4-77,HB-4 do not pass below
        24 A4-77,HB-4 do not pass above
        25 A4-77,HB-4 do not turn left
        26 A4-77,HB-4 do not turn right
        27 A4-77,HB-4 ended
        28 A4-77,HB-4 two or more threats
        29-56 HB-4 reserved"),
    // Any other content of format 16, of format 19 for military use, and a register that nobody named.
    ("MV 20", "1-56 HB-5 as received"),
    // Downlink formats.
    ("DF 00", "
        1-5 A4-39,HB-4 format
        6 A4-39,HB-4 airborne ground
        7 A4-39,HB-4 cross link
        8 A4-39,HB-4 reserved
        9-11 HB-4 sensitivity level
        12-13 A4-39,HB-4 reserved
        14-17 A4-39,HB-4,D-288,M reply information
        18-19 A4-39,HB-4 reserved
        20-32 A4-39,HB-4,HB-3 altitude
        33-56 A4-19,HB-1 parity address"),
    ("DF 20", "
        1-5 HB-3 format
        6-8 HB-3 flight status
        9-13 HB-3,M downlink request
        14-17 HB-3 interrogator identifier
        18-19 HB-3 reservation
        20-32 HB-3 altitude
        33-56 HB-3,HB-1,A4-19 parity address"),
    ("DF 28", "
        1-5 HB-3 format
        6-8 HB-3 flight status
        9-13 HB-3,M downlink request
        14-17 HB-3 interrogator identifier
        18-19 HB-3 reservation
        20-32 HB-3 mode a
        33-56 HB-3,HB-1,A4-19 parity address"),
    ("DF 5D", "
        1-5 HB-2 format
        6-8 HB-2,HB-A1 capability
        9-32 HB-2 address
        33-56 HB-2,SE11 parity interrogator"),
    ("DF 80", "
        1-5 HB-4,A4-39 format
        6 HB-4,A4-39 airborne ground
        7-8 HB-4 reserved
        9-11 HB-4 sensitivity level
        12-13 HB-4 reserved
        14-17 HB-4,A4-39,D-288,M reply information
        18-19 HB-4 reserved
        20-32 HB-4,A4-39 altitude
        33-88 HB-4 message field mv
        89-112 A4-19,HB-1 parity address"),
    ("DF 8D", "
        1-5 HB-A1 format
        6-8 HB-A1 capability
        9-32 HB-A1 address
        33-88 HB-A1 message field me
        89-112 HB-A8,A4-19 parity"),
    ("DF 90", "
        1-5 CF1,HB-A1 format
        6-8 CF1,CF2 control field
        9-32 CF1,CF2 address
        33-88 CF1,HB-A1 message field me
        89-112 HB-A8,A4-19 parity"),
    ("DF 98", "
        1-5 M,HB-I format
        6-8 M application field
        9-32 M address
        33-88 M as received
        89-112 M parity"),
    ("DF A0", "
        1-5 HB-5 format
        6-8 HB-5,HB-3 flight status
        9-13 HB-3,M downlink request
        14-17 HB-3 interrogator identifier
        18-19 HB-3 reservation
        20-32 HB-5,HB-3 altitude
        33-88 HB-5 message field mb
        89-112 HB-1,A4-19 parity address register"),
    ("DF A8", "
        1-5 HB-5 format
        6-8 HB-5,HB-3 flight status
        9-13 HB-3,M downlink request
        14-17 HB-3 interrogator identifier
        18-19 HB-3 reservation
        20-32 HB-5,HB-3 mode a
        33-88 HB-5 message field mb
        89-112 HB-1,A4-19 parity address register"),
    ("DF C0", "
        1-2 MM,HB-I format 24
        3 MM reserved
        4 MM,M segment acknowledgement
        5-8 MM segment number
        9-88 MM segment as received
        89-112 MM,A4-19 parity address"),
    // Formats that nobody assigned: 1 to 3, 6 to 10, 12 to 15 (short), 22 and 23 (long).
    ("DF 08", "
        1-5 HB-I format unassigned
        6-32 HB-I as received
        33-56 HB-I parity"),
    ("DF B0", "
        1-5 HB-I format unassigned
        6-32 HB-I as received
        33-88 HB-I as received
        89-112 HB-I parity"),
    // Registers.
    ("REG 0,7", "
        1-2 D-67 rate
        3 D-67 altitude
        4-56 D-67 reserved"),
    ("REG 1,0", "
        1-8 HB-6 number
        9 D-290,HB-6 continuation|register 1,1
        10-14 HB-6 reserved
        15 HB-6 overlay
        16 D-288,HB-6 acas|collision avoidance
        17-23 D-75,HB-6 subnetwork version
        24 HB-6 level 5
        25 HB-6 specific services
        26-28 D-75,HB-6 uplink
        29-32 D-75,HB-6 downlink
        33 D-290,HB-6 identification
        34 HB-6 squitter position registers
        35 HB-6 si codes
        36 HB-6,M changes register 1,7
        37 D-288,HB-6 hybrid surveillance
        38 D-288,HB-6 traffic resolution advisories
        39-40 HB-6,D-288 standard
        41-56 HB-6 status terminal"),
    ("REG 1,7", "
        1 D-76,HB-6 register 0 5
        2 D-76,HB-6 register 0 6
        3 D-76,HB-6 register 0 7
        4 D-76,HB-6 register 0 8
        5 D-76,HB-6 register 0 9
        6 D-76,HB-6 register 0 a
        7 D-76,HB-6 register 2 0
        8 D-76,HB-6 register 2 1
        9 D-76,HB-6 register 4 0
        10 D-76,HB-6 register 4 1
        11 D-76,HB-6 register 4 2
        12 D-76,HB-6 register 4 3
        13 D-76,HB-6 register 4 4
        14 D-76,HB-6 register 4 5
        15 D-76,HB-6 register 4 8
        16 D-76,HB-6 register 5 0
        17 D-76,HB-6 register 5 1
        18 D-76,HB-6 register 5 2
        19 D-76,HB-6 register 5 3
        20 D-76,HB-6 register 5 4
        21 D-76,HB-6 register 5 5
        22 D-76,HB-6 register 5 6
        23 D-76,HB-6 register 5 f
        24 D-76,HB-6 register 6 0
        25-29 D-76,HB-6 reserved
        30-56 D-76,HB-6 reserved"),
    // 1,8 to 1,C bit by bit in `registers.rs`.
    ("REG 1,8", "1-56 D-290,M register installed"),
    ("REG 1,9", "1-56 D-290,M register installed"),
    ("REG 1,A", "1-56 D-290,M register installed"),
    ("REG 1,B", "1-56 D-290,M register installed"),
    ("REG 1,C", "
        1-25 M reserved
        26-56 D-290,M register installed"),
    ("REG 1,D", "
        1-28 M uplink channel service
        29-56 M downlink channel service"),
    ("REG 1,E", "
        1-28 D-83 uplink channel service
        29-56 D-83 downlink channel service"),
    ("REG 1,F", "
        1-7 M uplink channel service
        8-28 M reserved
        29-35 M downlink channel service
        36-56 M reserved"),
    ("REG 2,0", "
        1-8 HB-6 number
        9-56 HB-6 eight characters six bits"),
    ("REG 2,1", "
        1 M registration holds
        2-43 M registration seven characters six bits
        44 M airline holds
        45-56 M airline two characters six bits"),
    ("REG 2,2", "
        1-3 D-87 antenna 1 kind
        4-9 D-87 antenna 1 nose
        10-14 D-87 antenna 1 ground
        15-17 D-87 antenna 2 kind
        18-23 D-87 antenna 2 nose
        24-28 D-87 antenna 2 ground
        29-31 D-87 antenna 3 kind
        32-37 D-87 antenna 3 nose
        38-42 D-87 antenna 3 ground
        43-45 D-87 antenna 4 kind
        46-51 D-87 antenna 4 nose
        52-56 D-87 antenna 4 ground"),
    ("REG 3,0", "
        1-8 S-BDS,HB-6 number
        9 A4-77,S-BDS,HB-4,HB-6 one threat
        10 HB-4,HB-6 corrective upward
        11 HB-4,HB-6 downward positive climb
        12 HB-4,HB-6 increased rate downward
        13 HB-4,HB-6 sense reversal positive descent
        14 HB-4,HB-6 altitude crossing
        15 HB-4,HB-6 positive vertical speed limit sense reversal
        16-22 HB-4,HB-6 reserved
        23 A4-77,HB-4,HB-6 do not pass below
        24 A4-77,HB-4,HB-6 do not pass above
        25 A4-77,HB-4,HB-6 do not turn left
        26 A4-77,HB-4,HB-6 do not turn right
        27 A4-77,HB-4 ended
        28 A4-77,HB-4,HB-6 two or more threats
        29-30 A4-78,HB-6 threat kind
        31-56 A4-78,HB-6 address altitude range bearing"),
    ("REG 4,0", "
        1 D-90,S-BDS,HB-7 panel holds
        2-13 D-90,S-BDS,HB-7 panel 16 ft
        14 D-90,S-BDS,HB-7 flight management holds
        15-26 D-90,S-BDS,HB-7 flight management 16 ft
        27 D-90,S-BDS,HB-7 barometric setting holds
        28-39 D-90,S-BDS,HB-7 800 hpa 0.1 hpa
        40-47 D-90,S-BDS,HB-7 reserved
        48 D-90,S-BDS,HB-7 mode status
        49 D-90,S-BDS,HB-7 vertical navigation
        50 D-90,S-BDS,HB-7 altitude hold
        51 D-90,S-BDS,HB-7 approach
        52-53 D-90,S-BDS,HB-7 reserved
        54 D-90,S-BDS,HB-7 source holds
        55-56 D-90,S-BDS,HB-7 target altitude source"),
    ("REG 4,1", "
        1 A3-71 holds
        2-55 A3-71 nine characters six bits
        56 A3-71 reserved"),
    ("REG 4,2", "
        1 A3-71 latitude holds
        2 A3-71 south
        3-20 A3-71 latitude 90/131 072
        21 A3-71 longitude holds
        22 A3-71 west
        23-40 A3-71 longitude 90/131 072
        41 A3-71 altitude holds
        42 A3-71 sign
        43-56 A3-71 altitude 8 ft"),
    ("REG 4,3", "
        1 A3-71 bearing holds
        2 A3-71 west
        3-12 A3-71 bearing 360/2048
        13 A3-71 time holds
        14-25 A3-71 time 0.1 min
        26 A3-71 distance holds
        27-42 A3-71 distance 0.1 nm
        43-56 A3-71 reserved"),
    ("REG 4,4", "
        1-4 D-94,HB-8 source
        5 D-94,HB-8 wind holds
        6-14 D-94,HB-8 wind speed 1 kt
        15-23 D-94,HB-8 wind 180/256
        24 D-94,HB-8 sign
        25-34 D-94,HB-8 temperature 0.25
        35 D-94,HB-8 pressure holds
        36-46 D-94,HB-8 pressure 1 hpa
        47 D-94,HB-8 turbulence holds
        48-49 D-94,HB-8 turbulence
        50 D-94,HB-8 humidity holds
        51-56 D-94,HB-8 humidity 100/64"),
    ("REG 4,5", "
        1 HB-8 turbulence holds
        2-3 HB-8 turbulence
        4 HB-8 wind shear holds
        5-6 HB-8 wind shear
        7 HB-8 microburst holds
        8-9 HB-8 microburst
        10 HB-8 icing holds
        11-12 HB-8 icing
        13 HB-8 wake vortex holds
        14-15 HB-8 wake vortex
        16 HB-8 temperature holds
        17 HB-8 sign
        18-26 HB-8 temperature 0.25
        27 HB-8 pressure holds
        28-38 HB-8 pressure 1 hpa
        39 HB-8 radio height holds
        40-51 HB-8 radio height 16 ft
        52-56 HB-8 reserved"),
    ("REG 4,8", "
        1-15 A3-72 channel 1 118 mhz
        16 A3-72 channel 1 holds
        17-18 A3-72 listens channel 1
        19-33 A3-72 channel 2 118 mhz
        34 A3-72 channel 2 holds
        35-36 A3-72 listens channel 2
        37-51 A3-72 channel 3 118 mhz
        52 A3-72 channel 3 holds
        53-54 A3-72 listens channel 3
        55-56 A3-72 listens 121.5"),
    ("REG 5,0", "
        1 D-97,S-BDS,HB-7 roll holds
        2 D-97,S-BDS,HB-7 left wing down
        3-11 D-97,S-BDS,HB-7 roll 45/256
        12 D-97,S-BDS,HB-7 track holds
        13 D-97,S-BDS,HB-7 west
        14-23 D-97,S-BDS,HB-7 true track 90/512
        24 D-97,S-BDS,HB-7 ground speed holds
        25-34 D-97,S-BDS,HB-7 ground speed 2 kt
        35 D-97,S-BDS,HB-7 track rate holds
        36 D-97,S-BDS,HB-7 left
        37-45 D-97,S-BDS,HB-7 track rate 8/256
        46 D-97,S-BDS,HB-7 true airspeed holds
        47-56 D-97,S-BDS,HB-7 true airspeed 2 kt"),
    ("REG 5,1", "
        1 D-98 holds
        2 D-98 south
        3-21 D-98 latitude 360/1 048 576
        22 D-98 west
        23-41 D-98 longitude 360/1 048 576
        42 D-98 sign
        43-56 D-98 pressure altitude 8 ft"),
    ("REG 5,2", "
        1 A3-73,D-99 holds
        2-5 A3-73,D-99 figure of merit source
        6-23 A3-73,D-99 latitude 90/16 777 216
        24-41 A3-73,D-99 longitude 90/16 777 216
        42 A3-73,D-99 sign
        43-56 A3-73,D-99 altitude height 8 ft"),
    ("REG 5,3", "
        1 M heading holds
        2 M west
        3-12 M magnetic heading 90/512
        13 M indicated airspeed holds
        14-23 M indicated airspeed 1 kt
        24 M mach holds
        25-33 M mach 0.008
        34 M true airspeed holds
        35-46 M true airspeed 0.5 kt
        47 M altitude rate holds
        48 M down
        49-56 M altitude rate 64 ft/min"),
    ("REG 6,0", "
        1 D-103,S-BDS,HB-7 heading holds
        2 D-103,S-BDS,HB-7 west
        3-12 D-103,S-BDS,HB-7 magnetic heading 90/512
        13 D-103,S-BDS,HB-7 indicated airspeed holds
        14-23 D-103,S-BDS,HB-7 indicated airspeed 1 kt
        24 D-103,S-BDS,HB-7 mach holds
        25-34 D-103,S-BDS,HB-7 mach 2.048/512
        35 D-103,S-BDS,HB-7 barometric rate holds
        36 D-103,S-BDS,HB-7 down
        37-45 D-103,S-BDS,HB-7 barometric rate 32 ft/min
        46 D-103,S-BDS,HB-7 inertial vertical velocity holds
        47 D-103,S-BDS,HB-7 down
        48-56 D-103,S-BDS,HB-7 inertial vertical velocity 32 ft/min"),
    ("REG E,3", "
        1 M holds
        2-3 M format
        4-51 M twelve digits eight characters
        52-56 M reserved"),
    ("REG E,4", "
        1 D-107 holds
        2-3 D-107 format
        4-51 D-107 twelve digits eight characters
        52-56 D-107 reserved"),
    ("REG E,5", "
        1 M holds
        2-3 M format
        4-51 M twelve digits eight characters
        52-56 M reserved"),
    ("REG E,6", "
        1 D-109 holds
        2-3 D-109 format
        4-51 D-109 twelve digits eight characters
        52-56 D-109 reserved"),
    ("REG F,1", "
        1 A3-76 mode 1 holds
        2 A3-76 four two octal digits
        3-15 A3-76 mode 1 c1 a1 c2 a2 c4 a4 x b1 d1 b2 d2 b4 d4
        16 A3-76 mode 2 holds
        17-29 A3-76 mode 2
        30-56 A3-76 reserved"),
    ("REG F,2", "
        1-5 A3-76,M type code
        6 A3-76,M mode 1 holds
        7 A3-76,M four two octal digits
        8-20 A3-76,M mode 1 c1 a1 c2 a2 c4 a4 x b1 d1 b2 d2 b4 d4
        21 A3-76,M mode 2 holds
        22-34 A3-76,M mode 2
        35 A3-76,M mode a holds
        36-48 A3-76,M mode a
        49-56 A3-76,M reserved"),
];
