//! The kinds of figure that there are.
//!
//! Layer 4. One table lists them; whoever adds one must say what it is called, whether it belongs to the recipe or to a
//! layer, whether there is one or one for each of something, and whether it is an amount of lye.

/// Whether a kind of figure belongs to the whole recipe or to each of its layers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// The whole recipe.
    Recipe,
    /// A layer.
    Layer,
}

/// Of what there is a figure of a kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// There is one.
    One,
    /// One for each fat.
    Fat,
    /// One for each fat stirred in later.
    LateFat,
    /// One for each additive, acids and liquids among them.
    Additive,
    /// One for each alkali, by its formula.
    Alkali,
    /// One for each component of scents.
    Component,
    /// One for each fatty acid.
    FattyAcid,
    /// One for each group of fatty acids.
    AcidGroup,
    /// One for each scale, by its unit.
    Scale,
    /// One for each step at the bench, by its number.
    Step,
}

/// Whether a figure is an amount of lye, or of something that has lye in it: then cautions belong to its page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lye {
    /// It is.
    Holds,
    /// It is not.
    Free,
}

macro_rules! kinds {
    ($($(#[doc = $doc:literal])* $kind:ident $scope:ident $name:literal $of:ident $lye:ident;)*) => {
        /// A kind of figure.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Kind {
            $($(#[doc = $doc])* $kind,)*
        }

        impl Kind {
            /// Every kind there is.
            pub const ALL: &'static [Kind] = &[$(Kind::$kind),*];

            /// What sentences call it.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self { $(Kind::$kind => $name,)* }
            }

            /// What it is, in a phrase.
            #[must_use]
            pub fn meaning(self) -> &'static str {
                match self { $(Kind::$kind => concat!($($doc),*).trim().trim_end_matches('.'),)* }
            }

            /// To what it belongs.
            #[must_use]
            pub fn scope(self) -> Scope {
                match self { $(Kind::$kind => Scope::$scope,)* }
            }

            /// Of what there is one.
            #[must_use]
            pub fn of(self) -> Of {
                match self { $(Kind::$kind => Of::$of,)* }
            }

            /// Whether it is an amount of lye.
            #[must_use]
            pub fn holds_lye(self) -> bool {
                match self { $(Kind::$kind => matches!(Lye::$lye, Lye::Holds),)* }
            }
        }
    };
}

kinds! {
    // What is weighed.
    /// A fat.
    Fat Recipe "fats" Fat Free;
    /// An alkali of a recipe with two.
    Alkali Recipe "alkali" Alkali Holds;
    /// The alkali of a recipe with one.
    Lye Recipe "lye" One Holds;
    /// Lye solution made beforehand, weighed in place of lye and a part of the water.
    Stock Recipe "stock" One Holds;
    /// The water that is weighed beside a stock.
    FurtherWater Recipe "further_water" One Free;
    /// What is weighed out as water.
    Water Recipe "water" One Free;
    /// An acid, a liquid or another additive of the whole batch.
    Additive Recipe "additives" Additive Free;
    /// A fat stirred in after saponification.
    LateFat Recipe "fats_after" LateFat Free;
    /// Oil to start with where a plant is steeped in a fat.
    InfusionOil Recipe "infusions.start" Fat Free;
    /// The dry plant that is steeped in it.
    InfusionPlant Recipe "infusions.plant" Fat Free;
    /// What is strained off at least.
    StrainedFrom Recipe "infusions.strained_from" Fat Free;
    /// What is strained off at most.
    StrainedTo Recipe "infusions.strained_to" Fat Free;
    /// All fats.
    TotalFats Recipe "total.fats" One Free;
    /// Everything that goes into the lye.
    Solution Recipe "solution" One Holds;
    /// Everything that is poured.
    TotalBatch Recipe "total.batch" One Holds;
    /// A layer's part of the fats.
    LayerFats Layer "fats" One Free;
    /// A layer's part of the lye.
    LayerSolution Layer "solution" One Holds;
    /// A layer's part of the blended batter.
    LayerBatter Layer "batter" One Holds;
    /// A layer's part of an additive of the whole batch.
    LayerShared Layer "shared_additives" Additive Free;
    /// What goes into a layer alone.
    LayerAdditive Layer "additives" Additive Free;
    /// Everything that is poured for a layer.
    LayerPoured Layer "poured" One Holds;
    /// All batter that is divided.
    TotalBatter Recipe "total.batter" One Holds;
    /// The fats with what is stirred into them, as they are divided.
    TotalFatsDivided Recipe "total.fats_divided" One Free;
    /// Lye that stays in the jug, since each layer's part of it is rounded down.
    SolutionLeft Recipe "solution_left" One Holds;
    // Shares of the fats and rates.
    /// A fat's share of all fats.
    FatPercent Recipe "percent" Fat Free;
    /// An additive's share of the fats.
    Rate Recipe "rates" Additive Free;
    /// An additive by the spoon.
    Spoons Recipe "spoons" Additive Free;
    /// An additive's share of the cured soap.
    OfCured Recipe "of_cured" Additive Free;
    /// Pure acid in what is weighed out.
    Strength Recipe "strength" Additive Free;
    /// The most of an additive that its supplier allows in the cured soap.
    SupplierLimit Recipe "supplier_limits" Additive Free;
    /// Vanillin in a scent.
    Vanillin Recipe "vanillin" Additive Free;
    /// A component of all scents together, of the cured soap, where there is most of it.
    Component Recipe "components" Component Free;
    /// The most of a component in the cured soap.
    ComponentLimit Recipe "component_limits" Component Free;
    /// The low end of what is usual of an additive.
    UsualRateFrom Recipe "usual_rates_from" Additive Free;
    /// The high end of what is usual of an additive.
    UsualRateTo Recipe "usual_rates_to" Additive Free;
    /// The most that the trade takes of an additive.
    HighestRate Recipe "highest_rates" Additive Free;
    /// An additive's share of a layer's fats.
    LayerRate Layer "rates" Additive Free;
    /// An additive of a layer by the spoon.
    LayerSpoons Layer "spoons" Additive Free;
    // The lye, step by step.
    /// The saponification value used of a fat.
    SapValue Recipe "saponification_values" Fat Free;
    /// KOH that saponifies a fat.
    Koh Recipe "koh" Fat Holds;
    /// KOH that saponifies all fats.
    KohForFats Recipe "koh_for_fats" One Holds;
    /// KOH that saponifies the fats but for the superfat.
    KohAfterSuperfat Recipe "koh_after_superfat" One Holds;
    /// KOH that an acid takes up.
    KohForAcid Recipe "koh_for_acid" Additive Holds;
    /// KOH that all acids take up.
    KohForAcids Recipe "koh_for_acids" One Holds;
    /// KOH whose work all of the alkali does.
    KohInAll Recipe "koh_in_all" One Holds;
    /// KOH whose work one of two alkalis does.
    KohPart Recipe "koh_part" Alkali Holds;
    /// The salt that an acid becomes with the lye.
    SaltFrom Recipe "salt_from" Additive Free;
    /// The salt that an acid becomes, in percent of the fats.
    SaltOfFats Recipe "salt_of_fats" Additive Free;
    /// The salt that an acid becomes, as it is sold, with its water of crystallisation.
    SaltAsSold Recipe "salt_as_sold" Additive Free;
    /// The part of the saponification that one of two alkalis does.
    AlkaliPercent Recipe "alkali_percent" Alkali Free;
    /// Pure alkali that is needed.
    PureAlkali Recipe "pure_alkali" Alkali Holds;
    /// How pure an alkali is.
    Purity Recipe "purity" Alkali Free;
    /// How pure an alkali is at least.
    PurityFrom Recipe "purity_from" Alkali Free;
    /// How pure an alkali is at most.
    PurityTo Recipe "purity_to" Alkali Free;
    /// All alkali that is weighed out.
    TotalAlkali Recipe "total.alkali" One Holds;
    /// All the water that the alkali goes into.
    WaterInAll Recipe "water_in_all" One Free;
    /// Water that a liquid or an acid brings.
    WaterFrom Recipe "water_from" Additive Free;
    /// Water that liquids and acids bring.
    WaterInOthers Recipe "water_in_others" One Free;
    /// Alkali in the lye, as weighed.
    LyeConcentration Recipe "lye_concentration" One Free;
    /// Pure alkali in the lye.
    PureConcentration Recipe "pure_lye_concentration" One Free;
    /// Lye in the stock, as weighed.
    StockConcentration Recipe "stock_concentration" One Free;
    /// How much lye is in the stock at least.
    StockConcentrationFrom Recipe "stock_concentration_from" One Free;
    /// How much lye is in the stock at most.
    StockConcentrationTo Recipe "stock_concentration_to" One Free;
    /// Water that the stock brings.
    WaterInStock Recipe "water_in_stock" One Free;
    /// Parts of water to one of alkali.
    WaterPerLye Recipe "water_per_lye" One Free;
    /// Water in percent of the fats.
    WaterOfFats Recipe "water_of_fats" One Free;
    /// The smallest step of a scale.
    ScaleStep Recipe "scale" Scale Free;
    /// The smallest step of the finer scale beside it, for small amounts.
    SmallScaleStep Recipe "small_scale" Scale Free;
    /// The coarsest scale on which the superfat cannot fall below zero.
    CoarsestScale Recipe "coarsest_scale" Scale Free;
    // How sure it is.
    /// The superfat of the recipe.
    Superfat Recipe "superfat" One Free;
    /// The superfat of the amounts as printed.
    SuperfatAsWeighed Recipe "superfat_as_weighed" One Free;
    /// How far one end of a fat's range of saponification values moves the superfat.
    SuperfatBySapValue Recipe "superfat_by_saponification_values" Fat Free;
    /// How far one end of an alkali's purity moves the superfat.
    SuperfatByPurity Recipe "superfat_by_purity" Alkali Free;
    /// How far half a division of the scale under a fat moves the superfat.
    SuperfatByFat Recipe "superfat_by_readings_of_fats" Fat Free;
    /// How far half a division of the scale under an alkali moves the superfat.
    SuperfatByAlkali Recipe "superfat_by_readings_of_alkali" Alkali Free;
    /// How far the end of what a stock's strength may be moves the superfat.
    SuperfatByStock Recipe "superfat_by_strength_of_stock" Alkali Free;
    /// How far half a division of the scale under an acid moves the superfat.
    SuperfatByAcid Recipe "superfat_by_readings_of_acids" Additive Free;
    /// The low end of what the superfat likely is.
    SuperfatLikelyFrom Recipe "superfat_likely_from" One Free;
    /// The high end of what the superfat likely is.
    SuperfatLikelyTo Recipe "superfat_likely_to" One Free;
    /// The superfat with everything at its worst.
    SuperfatWorst Recipe "superfat_at_worst" One Free;
    /// Superfat and what is stirred in later.
    FreeFat Recipe "free_fat" One Free;
    /// The superfat with the fat in liquids, and in what disperses additives, counted too.
    SuperfatWithLiquids Recipe "superfat_with_liquids" One Free;
    /// Fat that a liquid brings.
    FatFrom Recipe "fat_from" Additive Free;
    /// Sugar in a liquid.
    SugarFrom Recipe "sugar_from" Additive Free;
    /// The superfat of a layer's own printed amounts, in the main unit.
    LayerSuperfat Layer "superfat_as_weighed" One Free;
    /// The superfat of a layer at its worst.
    LayerWorst Layer "superfat_at_worst" One Free;
    /// The superfat if the fats were swapped for the variant's and the lye left.
    SuperfatIfSwapped Recipe "superfat_if_swapped" One Free;
    /// The superfat with the variant's fats and the lye left, at its worst.
    WorstIfSwapped Recipe "superfat_if_swapped_at_worst" One Free;
    /// How much more lye the variant's fats take, gram for gram.
    LyeIfSwapped Recipe "more_lye_if_swapped" One Free;
    // Heat, vessels, volumes, lengths.
    /// The temperature of cold water from the tap.
    TapWater Recipe "tap_water_temperature" One Free;
    /// The hottest that the lye can get.
    HottestLye Recipe "hottest_lye" One Free;
    /// The hottest that the lye can get with half of the water as ice.
    HottestIcedLye Recipe "hottest_lye_with_ice" One Free;
    /// The hottest that a stock can get while it is made.
    HottestStock Recipe "hottest_stock" One Free;
    /// The hottest that a stock can get with half of the water as ice.
    HottestIcedStock Recipe "hottest_stock_with_ice" One Free;
    /// The temperature below which alkali settles out of the stock.
    StockCrystalsBelow Recipe "stock_crystals_below" One Free;
    /// The temperature below which alkali settles out of the lye.
    CrystalsBelow Recipe "crystals_below" One Free;
    /// The temperature at which the lye is poured.
    PouringTemperature Recipe "pouring_temperature" One Free;
    /// How warm the fats are at least when the lye is poured to them.
    FatsWhenPouredFrom Recipe "fats_when_poured_from" One Free;
    /// How warm the fats are at most when the lye is poured to them.
    FatsWhenPouredTo Recipe "fats_when_poured_to" One Free;
    /// How warm the lye is at least when it is poured.
    LyeWhenPouredFrom Recipe "lye_when_poured_from" One Free;
    /// How warm the lye is at most when it is poured.
    LyeWhenPouredTo Recipe "lye_when_poured_to" One Free;
    /// The volume of the lye when it is poured.
    LyeVolume Recipe "lye_volume" One Holds;
    /// The least volume of the vessel for the lye.
    LyeVessel Recipe "vessels.lye" One Free;
    /// The least volume of the pot.
    Pot Recipe "vessels.pot" One Free;
    /// The width of the mould.
    MouldAcross Recipe "mould.across" One Free;
    /// The length of a mould that is a box.
    MouldLength Recipe "mould.length" One Free;
    /// How deep a mould is to be filled.
    MouldFillHeight Recipe "mould.fill_height" One Free;
    /// How high the lining of the mould is, at least.
    MouldLining Recipe "mould.lining" One Free;
    /// How many such moulds one batch fills.
    MouldCavities Recipe "mould.cavities" One Free;
    /// How much room embeds take in a mould.
    EmbedsVolume Recipe "mould.embeds" One Free;
    /// How deep it is filled.
    MouldFilled Recipe "mould.filled" One Free;
    /// The least volume of a layer's vessel.
    LayerVessel Layer "vessel" One Free;
    /// A layer's volume.
    LayerVolume Layer "volume" One Free;
    /// How thick a layer lies.
    LayerThickness Layer "thickness" One Free;
    /// How high above the bottom of the mould a layer ends.
    LayerTop Layer "top" One Free;
    /// A layer's part of the height.
    LayerHeight Layer "height" One Free;
    /// A layer's share of the batter.
    LayerPercent Layer "percent" One Free;
    /// How thick or how many parts a layer is, as typed.
    LayerSize Layer "size" One Free;
    // Time.
    /// How long the bench is needed.
    BenchTime Recipe "times.bench" One Free;
    /// How long the soap stays in the mould.
    MouldTime Recipe "times.mould" One Free;
    /// The cure.
    CureTime Recipe "times.cure" One Free;
    /// When a step at the bench begins, by its number.
    StepStart Recipe "step_starts" Step Free;
    /// How long a step at the bench takes, by its number.
    StepLength Recipe "step_lengths" Step Free;
    /// How long a layer takes until it carries the next.
    LayerWait Layer "wait" One Free;
    // What comes of it.
    /// Bars.
    Bars Recipe "bars" One Free;
    /// How thick bars are cut, or how much of the length each takes.
    Cut Recipe "cut" One Free;
    /// How much of the width of the loaf each bar takes.
    CutAcross Recipe "cut_across" One Free;
    /// How wide the wire or the blade is.
    CutKerf Recipe "cut_kerf" One Free;
    /// How much is trimmed off each end.
    CutEnds Recipe "cut_ends" One Free;
    /// What is left of the loaf.
    CutLeft Recipe "cut_left" One Free;
    /// What cutting leaves of the width of the loaf.
    CutLeftAcross Recipe "cut_left_across" One Free;
    /// What of the batch is in no bar.
    Trimmings Recipe "trimmings" One Free;
    /// A bar as poured.
    BarPoured Recipe "bar.poured" One Free;
    /// A bar when cured.
    BarCured Recipe "bar.cured" One Free;
    /// The batch when cured.
    Cured Recipe "cured" One Free;
    /// The water in the cured soap.
    Moisture Recipe "moisture" One Free;
    /// Glycerol set free.
    Glycerol Recipe "glycerol" One Free;
    /// Total fatty matter of the cured soap.
    FattyMatter Recipe "fatty_matter" One Free;
    // The pot, and the liquid that a paste is made into.
    /// Water that leaves the pot.
    PotLoss Recipe "pot.water_lost" One Free;
    /// Water that leaves the pot, in percent of the water.
    PotLossPercent Recipe "pot.water_lost_percent" One Free;
    /// What is left in the pot.
    PotAfter Recipe "pot.after_cooking" One Holds;
    /// The paste that is diluted.
    DilutionPaste Recipe "dilution.paste" One Holds;
    /// Water to add to the paste.
    DilutionWater Recipe "dilution.water" One Free;
    /// Preservative in the liquid.
    DilutionPreservative Recipe "dilution.preservative" One Free;
    /// The finished liquid.
    DilutionLiquid Recipe "dilution.liquid" One Free;
    /// Soap in the liquid, without any water.
    DilutionSoap Recipe "dilution.soap" One Free;
    /// Soap in the liquid, in percent, without any water.
    DilutionSoapPercent Recipe "dilution.soap_percent" One Free;
    /// Preservative in percent of the liquid.
    DilutionPreservativePercent Recipe "dilution.preservative_percent" One Free;
    /// Soap in percent of the paste.
    DilutionSoapInPaste Recipe "dilution.soap_in_paste" One Free;
    /// Parts of water to one of paste.
    DilutionWaterPerPaste Recipe "dilution.water_per_paste" One Free;
    /// The volume of the liquid, by its stated density.
    DilutionVolume Recipe "dilution.volume" One Free;
    // Fatty acids.
    /// A fatty acid's share.
    FattyAcid Recipe "fatty_acids" FattyAcid Free;
    /// The share of acids taken together.
    AcidGroup Recipe "acid_groups" AcidGroup Free;
    /// The fats whose acids are known.
    KnownAcids Recipe "fats_with_known_acids" One Free;
    /// The iodine value by the table.
    IodineValue Recipe "iodine_value" One Free;
    /// The fats that have an iodine value by the table and by their acids.
    IodineCompared Recipe "fats_with_both_iodine_values" One Free;
    /// The iodine value of these by the table.
    IodineByTable Recipe "iodine_value_compared" One Free;
    /// The iodine value of these by their acids.
    IodineByAcids Recipe "iodine_value_from_acids" One Free;
    /// A fat's published iodine value, where only one end is known.
    IodineOfFat Recipe "iodine_values" Fat Free;
    /// The mean molar mass of the acids.
    MeanMolarMass Recipe "mean_molar_mass" One Free;
    /// The saponification value used of the blend.
    SapUsed Recipe "saponification_value" One Free;
    /// The saponification value that follows from the fatty acids.
    SapByAcids Recipe "saponification_value_from_acids" One Free;
    /// The low end that the published ranges come to.
    SapFrom Recipe "saponification_value_from" One Free;
    /// The high end.
    SapTo Recipe "saponification_value_to" One Free;
    /// How much higher the value from the acids is than the one used.
    SapDifference Recipe "saponification_value_difference" One Free;
    /// How much of a fat's acids the table names.
    NamedAcids Recipe "named_acids" Fat Free;
}
