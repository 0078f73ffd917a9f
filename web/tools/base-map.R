# Prints the outlines that the map's ground is made of: Natural Earth 1:50 million, which is in the public domain, as the Debian package
# r-cran-rnaturalearthdata carries it (CC0). States of the United States and Canada with their lakes cut out, all other countries whole.
# A line a ring: country, state (or -), then longitude and latitude of each corner.
#   Rscript web/tools/base-map.R | node web/tools/base-map.mjs
held <- new.env()
invisible(lazyLoad(file.path(system.file("data", package = "rnaturalearthdata"), "Rdata"), held))
rings <- function(set, country, part, wanted) {
    rows <- attr(set, "data")
    areas <- attr(set, "polygons")
    for (i in which(wanted(rows)))
        for (area in attr(areas[[i]], "Polygons"))
            cat(gsub(" ", "_", country(rows)[i]), gsub(" ", "_", part(rows)[i]), sprintf("%.4f", t(attr(area, "coords"))), "\n")
}
split <- c("United States of America", "Canada")
rings(held$states50, function(rows) rows$admin, function(rows) rows$iso_3166_2, function(rows) rows$admin %in% split)
rings(held$countries50, function(rows) rows$admin, function(rows) rep("-", nrow(rows)), function(rows) !(rows$admin %in% c(split, "Antarctica")))
