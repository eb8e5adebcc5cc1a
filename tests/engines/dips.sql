SELECT status.address, status.receiver, min(status.time) AS first, max(status.time) AS last, min(status.nacp) AS nacp,
       count(DISTINCT status.time) AS frames,
       round(min_by(place.position_latitude_deg, place.time), 4) AS latitude,
       round(min_by(place.position_longitude_deg, place.time), 4) AS longitude
FROM operational_status AS status
JOIN fleet ON fleet.address = status.address
LEFT JOIN airborne_position AS place
  ON place.address = status.address AND place.receiver = status.receiver
  AND place.time BETWEEN status.time - INTERVAL 2 SECONDS AND status.time + INTERVAL 2 SECONDS
  AND place.position_latitude_deg IS NOT NULL
WHERE status.nacp < 8 AND status.parity = 'valid'
GROUP BY status.address, status.receiver
ORDER BY status.address, status.receiver
