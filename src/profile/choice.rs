//! Settings that are a choice among fixed words.

use super::json_spans::{Node, NodeKind};
use super::quantity::{Choice, Fault, Quantity, ValueKind, plain};
use serde_json::{Value, json};

/// Declares a choice among fixed words.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $( $variant:ident = $word:literal, $words:literal; )+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[non_exhaustive]
        pub enum $name {
            $( #[doc = concat!("`", $word, "`: ", $words, ".")] $variant, )+
        }

        impl Quantity for $name {
            const KIND: ValueKind = ValueKind::Choice;
            const OPTIONS: &'static [Choice] = &[$( Choice { word: $word, words: $words } ),+];

            fn read(node: &Node) -> Result<Self, Fault> {
                let known = [$( concat!("\"", $word, "\"") ),+].join(", ");
                match &node.kind {
                    $( NodeKind::Text(text) if plain(text) == $word => Ok(Self::$variant), )+
                    _ => Err(Fault::new(
                        format!("{} is not one of the choices", node.kind_in_words()),
                        format!("write one of {known}"),
                    )),
                }
            }
            fn from_words(text: &str) -> Result<Self, Fault> {
                let given = plain(text);
                $( if given == $word || given == plain($words) { return Ok(Self::$variant); } )+
                // The first words of a choice are enough, where they are no other's.
                let begun = |words: &str| plain(words).strip_prefix(&given).is_some_and(|rest| rest.starts_with('_'));
                let meant: Vec<Self> = [$( (Self::$variant, $words) ),+]
                    .into_iter()
                    .filter_map(|(choice, words)| begun(words).then_some(choice))
                    .collect();
                if let [one] = meant[..] {
                    return Ok(one);
                }
                Self::read(&Node { at: 0, kind: NodeKind::Text(text.trim().to_owned()) })
            }
            fn json(&self) -> Value {
                match self { $( Self::$variant => json!($word), )+ }
            }
            fn schema() -> Value {
                json!({"enum": [$( $word ),+]})
            }
            fn words(&self) -> String {
                match self { $( Self::$variant => $words, )+ }.to_owned()
            }
            const SAYS_MORE: bool = true;
            fn choices() -> Vec<Self> {
                vec![$( Self::$variant ),+]
            }
        }
    };
}

choice! {
    /// What kind of aircraft it is. The emitter category goes by the kind; of aeroplanes, by their weight.
    AircraftKind {
        Aeroplane = "aeroplane", "aeroplane";
        HighVortex = "high_vortex_aeroplane", "large aeroplane with a high-vortex wake";
        HighPerformance = "high_performance_aeroplane", "high performance aeroplane, more than 5 g and 400 kt";
        Rotorcraft = "rotorcraft", "rotorcraft";
        Glider = "glider", "glider or sailplane";
        LighterThanAir = "lighter_than_air", "lighter than air";
        Parachutist = "parachutist", "parachutist or skydiver";
        Ultralight = "ultralight", "ultralight, hang-glider or paraglider";
        Unmanned = "unmanned", "unmanned aerial vehicle";
        Space = "space_vehicle", "space or trans-atmospheric vehicle";
    }
}
choice! {
    /// Who enters the aircraft identification.
    IdentificationSource {
        Fixed = "fixed", "fixed at installation";
        CrewEntered = "crew_entered", "entered by the crew";
    }
}
choice! {
    /// How many antennas the transponder has.
    Antenna {
        Single = "single", "one antenna";
        Diversity = "diversity", "two antennas (diversity)";
    }
}
choice! {
    /// Where the pressure altitude comes from.
    AltitudeSourceKind {
        Parallel = "parallel", "grey code on wires";
        Serial = "serial", "serial line";
        Bus = "bus", "data bus";
        BuiltIn = "built_in", "built into the transponder";
    }
}
choice! {
    /// How the transponder knows air from ground.
    AirGroundKind {
        Switch = "switch", "a switch";
        Automatic = "automatic", "the unit decides by itself";
        None = "none", "no input";
    }
}
choice! {
    /// What the active switch means.
    ActiveMeans {
        OnGround = "on_ground", "active on the ground";
        Airborne = "airborne", "active in the air";
    }
}
choice! {
    /// Collision avoidance on board.
    Acas {
        None = "none", "none";
        AdvisoriesOnly = "advisories_only", "traffic advisories only";
        Resolution = "resolution", "resolution advisories";
    }
}
choice! {
    /// What the source integrity level counts by.
    SilPer {
        Hour = "per_hour", "per flight hour";
        Sample = "per_sample", "per sample";
    }
}
choice! {
    /// Which direction surface positions carry.
    DirectionKind {
        Track = "track", "ground track";
        Heading = "heading", "heading";
    }
}
choice! {
    /// From which north directions count.
    North {
        True = "true", "true north";
        Magnetic = "magnetic", "magnetic north";
    }
}
choice! {
    /// What kind of address it is.
    AddressKind {
        Permanent = "permanent", "the State's lasting address";
        Temporary = "temporary", "a temporary address";
        Privacy = "privacy", "a privacy address";
    }
}
choice! {
    /// How strongly the unit transmits.
    TransmitPower {
        Below70W = "below_70_w", "below 70 W";
        Full = "70_w_or_more", "70 W or more";
    }
}
choice! {
    /// What geometric height counts from.
    HeightReference {
        Ellipsoid = "ellipsoid", "the ellipsoid (WGS-84)";
        SeaLevel = "mean_sea_level", "mean sea level";
    }
}
choice! {
    /// How a test set is connected to the unit.
    Coupling {
        Direct = "direct", "a cable to the unit";
        Coupler = "antenna_coupler", "a coupler over the antenna";
        Shielded = "shielded", "an antenna near by, shielded";
        InFlight = "in_flight", "received in flight";
    }
}
